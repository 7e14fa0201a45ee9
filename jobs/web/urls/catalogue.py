from django.urls import path

from jobs.web.views import catalogue, learning

urlpatterns = [
    path("", catalogue.catalogue, name="catalogue"),
    path("hours/learned/", learning.learned_hours, name="learned_hours"),
    path("hours/learned/<int:pk>/", learning.accept_learned_hours, name="accept_learned_hours"),
    path("history/", catalogue.catalogue_history, name="catalogue_history"),
    path("<slug:slug>/", catalogue.catalogue, name="catalogue_section"),
    path("<slug:slug>/add/", catalogue.add_catalogue, name="add_catalogue"),
    path("<slug:slug>/<int:pk>/", catalogue.catalogue_row, name="catalogue_row"),
    path("<slug:slug>/<int:pk>/remove/", catalogue.remove_catalogue, name="remove_catalogue"),
]

from django.urls import path

from jobs.web.views import absence_sources, crew, day_messages, instruments

urlpatterns = [
    path("", crew.crew, name="crew"),
    path("add/", crew.add_person, name="add_person"),
    path("<int:pk>/", crew.person, name="person"),
    path("<int:pk>/morning/", day_messages.morning_message, name="morning_message"),
    path("<int:pk>/absences/", crew.add_absence, name="add_absence"),
    path("absences/<int:pk>/remove/", crew.remove_absence, name="remove_absence"),
    path("<int:pk>/calendars/add/", absence_sources.add_absence_source, name="add_absence_source"),
    path("calendars/<int:pk>/", absence_sources.absence_source, name="absence_source"),
    path("calendars/<int:pk>/remove/", absence_sources.remove_absence_source, name="remove_absence_source"),
    path("<int:pk>/college/", crew.add_college_day, name="add_college_day"),
    path("college/<int:pk>/remove/", crew.remove_college_day, name="remove_college_day"),
    path("<int:pk>/sign-in/", crew.make_sign_in, name="make_sign_in"),
    path("instruments/", instruments.instruments, name="instruments"),
    path("instruments/<int:pk>/", instruments.instrument, name="instrument"),
    path("devices/<int:pk>/revoke/", crew.revoke_device, name="revoke_device"),
]

from django.urls import path

from jobs.web.views import day_messages, firm, firm_data, health, trail

urlpatterns = [
    path("", firm.firm, name="firm"),
    path("days/add/", firm.add_firm_day, name="add_firm_day"),
    path("days/<int:pk>/remove/", firm.remove_firm_day, name="remove_firm_day"),
    path("evening/", day_messages.evening_summary, name="evening_summary"),
    path("data/", firm_data.firm_data, name="firm_data"),
    path("data/ask/", firm_data.ask_for_archive, name="ask_for_archive"),
    path("data/<int:pk>.zip", firm_data.firm_archive, name="firm_archive"),
    path("data/<int:pk>/delete/", firm_data.delete_archive, name="delete_archive"),
    path("changes/", trail.trail, name="trail"),
    path("health/", health.health, name="health"),
    path("health/<int:pk>/try-again/", health.try_again, name="try_again"),
]

from django.urls import path

from jobs.web.views import day_messages, firm, firm_data, health, sign_ins, trail

urlpatterns = [
    path("", firm.firm, name="firm"),
    path("days/add/", firm.add_firm_day, name="add_firm_day"),
    path("days/<int:pk>/remove/", firm.remove_firm_day, name="remove_firm_day"),
    path("evening/", day_messages.evening_summary, name="evening_summary"),
    path("data/", firm_data.firm_data, name="firm_data"),
    path("data/ask/", firm_data.ask_for_archive, name="ask_for_archive"),
    path("data/<int:pk>.zip", firm_data.firm_archive, name="firm_archive"),
    path("data/<int:pk>/delete/", firm_data.delete_archive, name="delete_archive"),
    path("sign-ins/", sign_ins.sign_ins, name="sign_ins"),
    path("sign-ins/add/", sign_ins.add_colleague, name="add_colleague"),
    path("sign-ins/<int:pk>/sign-out/", sign_ins.sign_out_person, name="sign_out_person"),
    path("sign-ins/<int:pk>/let-out/", sign_ins.let_out, name="let_out"),
    path("sign-ins/<int:pk>/let-in/", sign_ins.let_in, name="let_in"),
    path("sign-ins/<int:pk>/link/", sign_ins.make_password_link, name="make_password_link"),
    path("changes/", trail.trail, name="trail"),
    path("health/", health.health, name="health"),
    path("health/<int:pk>/try-again/", health.try_again, name="try_again"),
]

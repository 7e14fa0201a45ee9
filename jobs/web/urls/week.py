from django.urls import path

from jobs.web.views import hand_moves, notices, review, week

urlpatterns = [
    path("", week.week, name="week"),
    # the planner at work
    path("plan/again/", week.plan_again, name="plan_again"),
    path("plan/refresh/", week.refresh_draft, name="refresh_draft"),
    path("plan/runs/<int:pk>/", week.plan_run, name="plan_run"),
    path("plan/runs/<int:pk>/stop/", week.stop_run, name="stop_run"),
    # moves by hand
    path("plan/bookings/<int:pk>/move/", hand_moves.move_booking, name="move_booking"),
    path("plan/visits/<int:pk>/hold/", hand_moves.hold_visit, name="hold_visit"),
    path("plan/pins/<int:pk>/remove/", hand_moves.remove_pin, name="remove_pin"),
    path("plan/undo-move/", hand_moves.undo_move, name="undo_move"),
    # review and issue
    path("plan/review/", review.plan_review, name="plan_review"),
    path("plan/<int:pk>/issue/", review.issue_plan, name="issue_plan"),
    path("plan/<int:pk>/hold-back/<int:contact_pk>/", notices.hold_back, name="hold_back"),
    path("plan/<int:pk>/hold-back/crew/<int:person_pk>/", notices.hold_back_crew, name="hold_back_crew"),
    path("plan/held-back/<int:pk>/let-go/", notices.let_go, name="let_go"),
]

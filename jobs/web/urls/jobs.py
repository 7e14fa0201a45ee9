from django.urls import include, path

from jobs.web.views import circuits, customer, deadlines, handover, job, jobs, photos

urlpatterns = [
    path("", jobs.job_list, name="job_list"),
    path("add/", jobs.add_job, name="add_job"),
    path("<int:job_pk>/circuits/", include("jobs.web.urls.circuits")),
    path("rules/", circuits.rule_list, name="rule_list"),
    path("<int:pk>/", job.job, name="job"),
    path("<int:pk>/edit/", jobs.edit_job, name="edit_job"),
    path("<int:pk>/state/", jobs.move_job, name="move_job"),
    path("<int:pk>/hand-over/", jobs.hand_over, name="hand_over"),
    path("<int:pk>/handover/", handover.handover_pack, name="handover_pack"),
    path("<int:pk>/handover/pdf/", handover.make_handover_pdf, name="make_handover_pdf"),
    path("<int:job_pk>/handover/<int:pk>.pdf", handover.handover_pdf, name="handover_pdf"),
    path("<int:pk>/photos.zip", photos.job_photos, name="job_photos"),
    path("<int:pk>/deadlines/<slug:kind>/", deadlines.mark_deadline, name="mark_deadline"),
    path("<int:pk>/customer/", customer.job_customer, name="job_customer"),
    path("<int:pk>/customer/photos/", customer.choose_photos, name="choose_photos"),
    # its programme
    path("<int:pk>/programme/", job.renew_programme, name="renew_programme"),
    path("<int:job_pk>/packages/<int:pk>/hours/", job.correct_hours, name="correct_hours"),
    path("<int:job_pk>/packages/<int:pk>/limits/", job.limit_package, name="limit_package"),
    path("<int:pk>/people/add/", job.choose_person, name="choose_person"),
    path("<int:job_pk>/people/<int:pk>/remove/", job.drop_choice, name="drop_choice"),
    path("<int:pk>/visits/add/", job.add_visit, name="add_visit"),
    path("<int:job_pk>/variations/<int:pk>/answer/", job.answer_variation, name="answer_variation"),
    path("<int:pk>/snags/add/", job.add_snag, name="add_snag"),
    path("<int:pk>/worked/", job.correct_worked_hours, name="correct_worked_hours"),
    path("<int:pk>/waits/add/", job.add_wait, name="add_wait"),
    path("<int:job_pk>/waits/<int:pk>/remove/", job.remove_wait, name="remove_wait"),
]

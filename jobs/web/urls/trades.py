from django.urls import path

from jobs.web.views import forgetting, links, notices, trades, visits

urlpatterns = [
    path("", trades.contact_list, name="contact_list"),
    path("add/", trades.contact_add, name="contact_add"),
    path("messages/", notices.notice_list, name="notice_list"),
    path("messages/<int:pk>/passed-on/", notices.pass_on_notice, name="pass_on_notice"),
    path("messages/held/<int:pk>/tell/", notices.tell_held_back, name="tell_held_back"),
    path("<int:pk>/", trades.contact, name="contact"),
    path("<int:pk>/edit/", trades.contact_edit, name="contact_edit"),
    path("<int:pk>/forget/", forgetting.forget, name="forget"),
    path("<int:pk>/away/", trades.add_contact_away, name="add_contact_away"),
    path("away/<int:pk>/remove/", trades.remove_contact_away, name="remove_contact_away"),
    path("visits/<int:pk>/", visits.visit, name="visit"),
    path("visits/<int:pk>/assign/", visits.assign_visit, name="assign_visit"),
    path("visits/<int:pk>/answer/", visits.record_answer, name="record_answer"),
    path("visits/<int:pk>/agree/", visits.agree_visit, name="agree_visit"),
    path("visits/<int:pk>/suggested/", visits.suggested_days, name="suggested_days"),
    path("visits/<int:pk>/suggested/turn-down/", visits.turn_down_suggestions, name="turn_down_suggestions"),
    path("visits/suggested/<int:pk>/accept/", visits.accept_suggestion, name="accept_suggestion"),
    path("visits/<int:pk>/go-ahead/", visits.give_go_ahead, name="give_go_ahead"),
    path("visits/<int:pk>/finish/", visits.finish_visit, name="finish_visit"),
    path("visits/<int:pk>/cancel/", visits.cancel_visit, name="cancel_visit"),
    path("visits/<int:pk>/reopen/", visits.reopen_visit, name="reopen_visit"),
    path("calendars/", links.calendar_list, name="calendar_list"),
    path("links/<slug:purpose>/<int:subject_pk>/", links.link, name="link"),
    path("links/<slug:purpose>/<int:subject_pk>/make/", links.make_link, name="make_link"),
    path("links/<int:pk>/options/", links.choose_link_options, name="choose_link_options"),
    path("links/<int:pk>/rotate/", links.rotate_link, name="rotate_link"),
    path("links/<int:pk>/revoke/", links.revoke_link, name="revoke_link"),
]

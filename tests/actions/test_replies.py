from datetime import timedelta

import pytest
from icalendar import Calendar

from jobs.actions.mailing import send_notice
from jobs.actions.notices import write_notices
from jobs.actions.replies import take_mail
from jobs.actions.visits import accept_visit, decline_visit, suggest_days, turn_down_suggestions
from jobs.models import CalendarDay, Contact, Invitation, MailAnswer, Notice, Plan, SuggestedDay, ToldDate, Visit
from jobs.queries.reply_addresses import organizer_address
from tests.factories import NOW, make_contact, make_plan
from tests.incoming import read_template
from tests.letterbox import calendar_part, mail_server
from tests.planning import span
from tests.told import FRIDAY, NEXT_FRIDAY, issue_next, make_told

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(hours=3)


@pytest.fixture(autouse=True)
def _reply_address(settings):
    settings.REPLY_ADDRESS = "dates@rewire.example"


@pytest.fixture
def told():
    made = make_told()
    Contact.objects.filter(pk=made.contact.pk).update(email="pat@trades.example")
    return made


def come_back(name: str = "phone_reply", *, at=LATER, invitation: Invitation | None = None, **values: object) -> str:
    invitation = invitation or Invitation.objects.get()
    places = {"uid": invitation.uid, "organizer": invitation.organizer} | values
    return take_mail(read_template(name, **places), now=at).words


def state() -> str:
    return Visit.objects.get().state


def outcome() -> str:
    return MailAnswer.objects.latest("pk").outcome


def test_visit_is_agreed_when_a_yes_comes_back(told):
    assert come_back() == "Taken as their answer."
    assert (state(), ToldDate.objects.get().answer) == ("accepted", "accepted")


def test_visit_is_declined_with_the_comment_when_a_no_comes_back(told):
    come_back("office_reply", partstat="DECLINED")
    visit = Visit.objects.get()
    assert (visit.state, visit.answer_note) == ("declined", "Van is in the garage – sorry, can’t do it.")


def test_proposed_day_becomes_a_suggestion_when_a_counter_comes_back(told):
    come_back("web_counter", proposed="20270129T130000Z")
    day = SuggestedDay.objects.get()
    assert (str(day.on), day.half, ToldDate.objects.get().answer) == ("2027-01-29", "pm", "suggested")


def test_all_day_proposal_starts_in_the_morning_when_a_counter_names_a_date(told):
    come_back("web_counter", proposed="20270129")
    assert SuggestedDay.objects.get().half == "am"


def test_office_is_asked_to_ask_when_the_proposed_time_is_the_same_half_day(told):
    come_back("web_counter", proposed="20270115T090000Z")
    assert (outcome(), state()) == ("letter", "asked")


def test_answer_acts_once_when_the_same_mail_comes_twice(told):
    come_back()
    assert come_back() == "Ignored: it was taken before."
    assert (MailAnswer.objects.count(), Notice.objects.filter(kind="agreed").count()) == (1, 1)


def test_calendar_is_told_it_is_agreed_when_a_yes_comes_back(told):
    come_back()
    invitation = Invitation.objects.get()
    message = invitation.messages.last()
    assert (invitation.sequence, message.method, message.is_tentative) == (1, "REQUEST", False)


def test_later_answer_stands_when_two_come_to_the_same_version(told):
    come_back()
    come_back("office_reply", partstat="DECLINED", stamp="20270112T100500Z")
    assert (outcome(), state()) == ("applied", "declined")


def test_older_answer_is_shown_as_older_when_mails_overtake_each_other(told):
    come_back("office_reply", partstat="TENTATIVE", stamp="20270112T090000Z")
    come_back(stamp="20270112T100500Z")
    come_back("web_counter", stamp="20270112T100400Z")
    assert (outcome(), state()) == ("older", "accepted")


def test_answer_is_stale_when_the_date_moved_meanwhile(told):
    issue_next(told, NEXT_FRIDAY, LATER)
    come_back(at=LATER + timedelta(hours=1))
    row = MailAnswer.objects.get()
    assert (row.outcome, "it is Fri 22 January, all day now" in row.reason, state()) == ("stale", True, "asked")


def test_answer_to_the_new_version_is_taken_when_the_date_moved(told):
    issue_next(told, NEXT_FRIDAY, LATER)
    come_back(sequence=1, at=LATER + timedelta(hours=1))
    assert (outcome(), state()) == ("applied", "accepted")


def test_answer_is_stale_when_the_visit_was_called_off(told):
    decline_visit(told=told.date, link=told.link, now=LATER)
    come_back(at=LATER + timedelta(hours=1))
    assert (outcome(), state()) == ("stale", "declined")


def test_answer_is_refused_when_it_names_a_version_never_sent(told):
    come_back(sequence=7)
    assert (outcome(), state()) == ("refused", "asked")


def test_answer_is_refused_when_somebody_else_sends_it(told):
    raw = read_template("phone_reply", uid=Invitation.objects.get().uid, organizer=organizer_address(told.contact))
    take_mail(raw.replace(b"From: Pat <pat@", b"From: Pat <mallory@"), now=LATER)
    row = MailAnswer.objects.get()
    assert (row.outcome, row.reason) == ("refused", "It came from mallory@trades.example, not from pat@trades.example.")


def test_answer_is_refused_when_it_answers_for_somebody_else(told):
    raw = read_template("phone_reply", uid=Invitation.objects.get().uid, organizer=organizer_address(told.contact))
    take_mail(raw.replace(b":mailto:pat@", b":mailto:quinn@"), now=LATER)
    assert (outcome(), state()) == ("refused", "asked")


@pytest.mark.parametrize("uid", ["11aa", "2c1f8d8e-8f0e-4b61-a9c5-2f5a0f7f8a11"])
def test_answer_is_refused_when_it_names_an_event_we_never_sent(told, uid):
    come_back(uid=uid)
    assert (outcome(), state()) == ("refused", "asked")


def test_answer_is_refused_when_the_tag_is_another_contacts(told):
    other = make_contact(told.firm, name="Quinn", email="quinn@trades.example")
    come_back(organizer=organizer_address(other))
    assert (MailAnswer.objects.get().outcome, state()) == ("refused", "asked")


def test_nothing_is_kept_when_the_tag_is_made_up(told):
    words = come_back(organizer=f"dates+{told.contact.pk}-aaaaaaaaaaaaaaaa@rewire.example")
    assert (words, MailAnswer.objects.exists()) == ("Ignored: it was not sent to a reply address of ours.", False)


def test_tag_is_known_when_a_mail_program_changed_its_case(told):
    raw = read_template("phone_reply", uid=Invitation.objects.get().uid, organizer=organizer_address(told.contact).upper())
    take_mail(raw, now=LATER)
    assert outcome() == "applied"


def test_tag_stays_known_when_the_secret_key_was_renewed(told, settings):
    settings.SECRET_KEY_FALLBACKS, settings.SECRET_KEY = [settings.SECRET_KEY], "another-key-from-today-on"
    come_back()
    assert outcome() == "applied"


@pytest.mark.parametrize("name", ["bounce", "away"])
def test_nothing_is_kept_when_a_machine_answers(told, name):
    assert come_back(name).startswith("Ignored: ")
    assert not MailAnswer.objects.exists()


def test_words_are_kept_for_the_office_when_a_person_writes(told):
    come_back("letter")
    assert (outcome(), MailAnswer.objects.get().words) == ("letter", "Friday is fine – is there parking at Tŷ Gwyn?")


def test_nothing_is_decided_when_they_may_come_perhaps(told):
    come_back(partstat="TENTATIVE")
    assert (outcome(), state()) == ("letter", "asked")


def test_mail_is_kept_unread_when_it_is_too_large(told):
    raw = read_template("phone_reply", uid=Invitation.objects.get().uid, organizer=organizer_address(told.contact))
    take_mail(raw + b"x" * 70_000, now=LATER)
    assert (outcome(), state()) == ("refused", "asked")


def test_visit_is_agreed_only_with_all_its_runs_when_a_closed_day_parts_it(told):
    CalendarDay.objects.create(firm=told.firm, on=FRIDAY + timedelta(days=4), name="Closed")
    Plan.objects.update(state=Plan.State.REPLACED)
    plan = make_plan(told.firm, Plan.State.ISSUED)
    span(plan, told.visit, FRIDAY + timedelta(days=3), FRIDAY + timedelta(days=5))
    write_notices(plan=plan, previous=None, by=told.office, now=LATER)
    first, second = Invitation.objects.filter(is_gone=False).order_by("run")
    come_back(invitation=first, sequence=1)
    assert (outcome(), state()) == ("part", "asked")
    come_back("office_reply", partstat="ACCEPTED", invitation=second)
    assert (outcome(), state()) == ("applied", "accepted")


def test_mailed_no_is_taken_when_it_follows_a_yes_on_the_page(told):
    accept_visit(told=told.date, link=told.link, now=LATER)
    come_back("office_reply", partstat="DECLINED", at=LATER + timedelta(hours=1))
    assert (outcome(), state()) == ("applied", "declined")


def turn_down(told, at=LATER) -> Notice:
    return turn_down_suggestions(visit=told.visit, reason="Floors are up.", by=told.office, now=at)


def test_their_calendar_hears_it_too_when_what_it_proposed_is_turned_down(told, settings):
    come_back("web_counter", proposed="20270129T130000Z")
    notice = turn_down(told)
    with mail_server(settings) as letterbox:
        send_notice(notice_pk=notice.pk, now=LATER)
    (mail,) = letterbox.messages
    part = calendar_part(mail)
    event = Calendar.from_ical(part.get_content()).walk("VEVENT")[0]
    assert part.get_param("method") == "DECLINECOUNTER"
    assert mail["From"].addresses[0].addr_spec == Invitation.objects.get().organizer
    assert str(event["UID"]) == str(Invitation.objects.get().uid)
    assert "does not suit us. Floors are up." in event["COMMENT"]
    assert "Fri 29 January, from midday" in mail.get_body(("plain",)).get_content()


def test_only_words_leave_when_other_days_were_suggested_on_the_page_since(told):
    come_back("web_counter", proposed="20270129T130000Z")
    later = LATER + timedelta(hours=1)
    suggest_days(told=told.date, link=told.link, days=[(NEXT_FRIDAY, "am")], now=later)
    assert turn_down(told, later).turns_down is None

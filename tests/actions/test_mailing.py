from datetime import timedelta

import pytest
from django.core import mail
from icalendar import Calendar

from jobs import outbox
from jobs.actions.links import revoke_link
from jobs.actions.mailing import send_notice
from jobs.models import Contact, Delivery, Firm, Invitation, InvitationMessage, Job, Notice
from jobs.queries.reply_addresses import organizer_address
from tests.factories import NOW, make_visit
from tests.letterbox import attached_file, calendar_part, mail_server
from tests.told import FRIDAY, NEXT_FRIDAY, issue_next, make_told

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(hours=3)


@pytest.fixture(autouse=True)
def _reply_address(settings):
    settings.REPLY_ADDRESS = "dates@rewire.example"


def send_all(at=LATER) -> list:
    """What leaves when every waiting notice is mailed."""
    before = len(mail.outbox)
    outbox.run_due(at)
    return mail.outbox[before:]


def event_in(message) -> object:
    (alternative,) = message.alternatives
    return next(iter(Calendar.from_ical(alternative.content).walk("VEVENT")))


def test_mail_is_delivered_with_its_own_message_id_when_the_outbox_runs(told):
    (message,) = send_all()
    assert (message.to, message.message()["Message-ID"]) == ([told.contact.email], Notice.objects.get().message_id)
    assert Delivery.objects.get().address == told.contact.email


def test_mail_goes_once_when_it_is_sent_twice(told):
    notice = Notice.objects.get()
    send_notice(notice_pk=notice.pk, now=LATER)
    send_notice(notice_pk=notice.pk, now=LATER)
    assert (len(mail.outbox), Delivery.objects.count()) == (1, 1)


def test_mail_has_the_page_and_the_phone_when_a_trade_is_told(told):
    (message,) = send_all()
    assert f"/t/{told.token}/" in message.body
    assert "07700 900100" in message.body


def test_mail_has_no_page_when_the_link_was_switched_off(told):
    revoke_link(link=told.link, by=told.office, now=NOW)
    (message,) = send_all()
    assert "/t/" not in message.body


def test_words_calendar_and_file_arrive_whole_when_mail_goes_through_a_server(told, settings):
    Firm.objects.update(name="Tŷ Gwyn Electrics")
    with mail_server(settings) as letterbox:
        send_notice(notice_pk=Notice.objects.get().pk, now=LATER)
    (arrived,) = letterbox.messages
    part, attached = calendar_part(arrived), attached_file(arrived)
    assert "Plastering, Mill Row Pat: Fri 15 January, all day." in arrived.get_body(("plain",)).get_content()
    assert (part.get_content_charset(), part.get_param("method")) == ("utf-8", "REQUEST")
    assert attached.get_content() == part.get_content().encode()
    event = next(iter(Calendar.from_ical(part.get_content()).walk("VEVENT")))
    assert event["ORGANIZER"].params["CN"] == "Tŷ Gwyn Electrics"


def test_mail_is_seven_bit_when_words_are_not(told, settings):
    Firm.objects.update(name="Tŷ Gwyn Electrics")
    with mail_server(settings) as letterbox:
        send_notice(notice_pk=Notice.objects.get().pk, now=LATER)
    assert letterbox.raw[0].isascii()


def test_calendar_is_the_last_alternative_and_a_file_when_parts_are_listed(told):
    (message,) = send_all()
    types = [part.get_content_type() for part in message.message().walk()]
    assert types == ["multipart/mixed", "multipart/alternative", "text/plain", "text/calendar", "application/ics"]


def test_sender_is_the_organizer_with_the_contacts_tag_when_answers_are_read(told):
    (message,) = send_all()
    address = organizer_address(told.contact)
    assert f"<{address}>" in message.from_email
    assert event_in(message)["ORGANIZER"] == f"mailto:{address}"


def test_organizer_stays_when_the_key_and_the_reply_address_change(told, settings):
    (first,) = send_all()
    settings.SECRET_KEY, settings.REPLY_ADDRESS = "another", "new@rewire.example"
    issue_next(told, NEXT_FRIDAY, LATER)
    (second,) = send_all()
    assert event_in(first)["ORGANIZER"] == event_in(second)["ORGANIZER"]
    assert first.from_email == second.from_email


def test_plain_sender_asks_for_no_reply_when_answers_are_not_read(settings):
    settings.REPLY_ADDRESS, settings.DEFAULT_FROM_EMAIL = "", "rewire@rewire.example"
    make_told()
    (message,) = send_all()
    event = event_in(message)
    assert (event["ORGANIZER"], event["ATTENDEE"].params["RSVP"]) == ("mailto:rewire@rewire.example", "FALSE")


def test_update_keeps_the_uid_with_a_higher_sequence_when_a_date_moves(told):
    (first,) = send_all()
    issue_next(told, NEXT_FRIDAY, LATER)
    (second,) = send_all()
    before, after = event_in(first), event_in(second)
    assert (after["UID"], before["SEQUENCE"], after["SEQUENCE"]) == (before["UID"], 0, 1)


def test_former_trade_gets_a_cancel_when_a_visit_changes_hands(told):
    (first,) = send_all()
    other = Contact.objects.create(firm=told.firm, name="Quinn", trade="plasterer", email="quinn@trades.example")
    told.visit.contact, told.visit.state = other, "pencilled"
    told.visit.save()
    issue_next(told, FRIDAY, LATER)
    sent = {message.to[0]: message for message in send_all()}
    cancelled, asked = event_in(sent[told.contact.email]), event_in(sent["quinn@trades.example"])
    assert (cancelled["STATUS"], cancelled["UID"], cancelled["SEQUENCE"]) == ("CANCELLED", event_in(first)["UID"], 1)
    assert (asked["STATUS"], asked["UID"] != cancelled["UID"]) == ("TENTATIVE", True)
    assert sent[told.contact.email].alternatives[0].mimetype == "text/calendar; method=CANCEL"


def test_every_further_event_has_a_mail_of_its_own_when_a_notice_has_several(told):
    house = Job.objects.create(firm=told.firm, name="Elm House")
    issue_next(told, NEXT_FRIDAY, LATER, make_visit(house, told.contact, told.visit.kind))
    mails = send_all()[-2:]
    notice = Notice.objects.latest("pk")
    further = mails[1].message()
    assert [len(message.alternatives) for message in mails] == [1, 1]
    assert further["In-Reply-To"] == notice.message_id
    assert further["Message-ID"] == notice.message_id.replace("@", ".2@")
    assert event_in(mails[0])["UID"] != event_in(mails[1])["UID"]


def test_only_what_is_missing_goes_when_sending_broke_off_half_way(told):
    house = Job.objects.create(firm=told.firm, name="Elm House")
    issue_next(told, NEXT_FRIDAY, LATER, make_visit(house, told.contact, told.visit.kind))
    notice = Notice.objects.latest("pk")
    send_notice(notice_pk=notice.pk, now=LATER)
    InvitationMessage.objects.filter(notice=notice, number=2).update(sent_at=None)
    mail.outbox.clear()
    send_notice(notice_pk=notice.pk, now=LATER)
    assert [message.message()["Message-ID"] for message in mail.outbox] == [notice.message_id.replace("@", ".2@")]


def test_what_left_is_recorded_when_it_is_sent(told):
    send_all()
    message = InvitationMessage.objects.get()
    assert (message.sent_to, message.sent_at is not None, message.sequence) == (told.contact.email, True, 0)


def test_mail_has_words_alone_when_the_address_cannot_stand_in_a_calendar(settings):
    made = make_told(name="Zoë")
    Contact.objects.update(email="zoë@trades.example")
    issue_next(made, NEXT_FRIDAY, LATER)
    assert InvitationMessage.objects.filter(notice=Notice.objects.latest("pk")).count() == 0


def test_mail_has_words_alone_when_there_is_no_event_to_send(told):
    Invitation.objects.all().delete()
    (message,) = send_all()
    assert (message.alternatives, "attached file" in message.body) == ([], False)

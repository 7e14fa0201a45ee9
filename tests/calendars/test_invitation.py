import re
from datetime import UTC, date, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from jobs.calendars.invitation import invitation_text
from jobs.core.events import CalendarEvent
from jobs.core.invitations import Invitation, Method, Party

MADE = datetime(2027, 1, 12, 9, 30, 15, 250_000, tzinfo=UTC)
EIGHT, NOON = (datetime(2027, 7, 13, hour, tzinfo=UTC) for hour in (7, 11))
ANY_TEXT = st.text(st.characters(codec=None), max_size=120).map(lambda text: text.replace("\\N", ""))
NAMES = re.compile(
    r"(BEGIN|END|VERSION|PRODID|CALSCALE|METHOD|SUMMARY|DTSTART|DTEND|DTSTAMP|UID|SEQUENCE|ATTENDEE|ORGANIZER|STATUS"
    r"|TRANSP|LAST-MODIFIED|X-MICROSOFT-CDO-BUSYSTATUS|DESCRIPTION|LOCATION)[;:]"
)


def make_invitation(method: Method = Method.REQUEST, *, attendee: str = "Pat", **fields: object) -> Invitation:
    of_event = {"uid": "11aa", "sequence": 3, "revised_at": MADE, "starts": EIGHT, "ends": NOON, "summary": "Plastering"}
    of_message = {key: fields.pop(key) for key in ("is_agreed", "wants_reply") if key in fields}
    organizer = Party(fields.pop("organizer", "Hazel Lane Electrics"), "dates+1-aa@rewire.example")
    event = CalendarEvent(**of_event | fields)
    return Invitation(method, event, organizer, Party(attendee, "pat@trades.example"), **of_message)


def lines_of(invitation: Invitation) -> list[str]:
    return invitation_text(invitation).replace("\r\n ", "").split("\r\n")


def find_line(invitation: Invitation, name: str) -> str:
    return next(line for line in lines_of(invitation) if line.startswith(name))


def test_attendee_is_asked_when_nothing_was_answered():
    assert find_line(make_invitation(), "ATTENDEE") == (
        "ATTENDEE;CN=Pat;CUTYPE=INDIVIDUAL;PARTSTAT=NEEDS-ACTION;ROLE=REQ-PARTICIPANT;RSVP=TRUE:mailto:pat@trades.example"
    )


def test_attendee_is_not_asked_again_when_it_is_agreed():
    line = find_line(make_invitation(is_agreed=True), "ATTENDEE")
    assert "PARTSTAT=ACCEPTED" in line
    assert "RSVP=FALSE" in line


def test_no_reply_is_asked_for_when_none_is_read():
    assert "RSVP=FALSE" in find_line(make_invitation(wants_reply=False), "ATTENDEE")


def test_status_follows_the_agreement_when_asked():
    assert "STATUS:TENTATIVE" in lines_of(make_invitation(is_tentative=True))
    assert "STATUS:CONFIRMED" in lines_of(make_invitation())


def test_event_is_cancelled_when_called_off():
    lines = lines_of(make_invitation(Method.CANCEL, is_tentative=True))
    assert {"METHOD:CANCEL", "STATUS:CANCELLED", "UID:11aa", "SEQUENCE:3"} <= set(lines)
    assert len([line for line in lines if line.startswith("STATUS")]) == 1


def test_stamp_is_when_the_message_was_made_when_asked():
    assert "DTSTAMP:20270112T093015Z" in lines_of(make_invitation())


def test_zone_is_described_when_times_are_of_a_zone():
    assert "BEGIN:VTIMEZONE" in lines_of(make_invitation())
    assert "DTSTART;TZID=Europe/London:20270713T080000" in lines_of(make_invitation())


def test_zone_is_left_out_when_whole_days_are_asked_for():
    lines = lines_of(make_invitation(starts=date(2027, 7, 13), ends=date(2027, 7, 16)))
    assert {"DTSTART;VALUE=DATE:20270713", "DTEND;VALUE=DATE:20270716"} <= set(lines)
    assert "BEGIN:VTIMEZONE" not in lines


def test_same_message_gives_the_same_text_when_written_twice():
    assert invitation_text(make_invitation()) == invitation_text(make_invitation())


@pytest.mark.parametrize(
    "address", ["", "nobody", "a b@c.example", "a@b.example\r\nX:y", "a@b\x00", "ä@b.example", "a@" + "b" * 254]
)
def test_address_is_refused_when_a_calendar_could_not_hold_it(address):
    with pytest.raises(ValueError, match="visible ASCII"):
        Party("Pat", address)


@settings(max_examples=200)
@given(summary=ANY_TEXT, description=ANY_TEXT, place=ANY_TEXT, attendee=ANY_TEXT, organizer=ANY_TEXT)
def test_no_line_is_added_when_fields_hold_anything(summary, description, place, attendee, organizer):
    invitation = make_invitation(
        summary=summary, description=description, place=place, attendee=attendee, organizer=organizer,
        starts=date(2027, 7, 13), ends=date(2027, 7, 16),
    )
    text = invitation_text(invitation)
    assert "\r" not in text.replace("\r\n", "")
    assert "\n" not in text.replace("\r\n", "")
    assert all(NAMES.match(line) for line in text.replace("\r\n ", "").removesuffix("\r\n").split("\r\n"))
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))


@settings(max_examples=100)
@given(name=ANY_TEXT)
def test_name_reads_back_when_it_holds_quotes_and_carets(name):
    event = next(iter(Calendar.from_ical(invitation_text(make_invitation(attendee=name))).walk("VEVENT")))
    written = event["ATTENDEE"].params.get("CN", "")
    assert isinstance(written, str)

"""RFC 6047 (iMIP): the example of section 4.1 and the rules of section 2, on mails that went through a server.

The numbers of the subsections are from memory.
"""

from datetime import timedelta
from email.message import EmailMessage

import pytest
from icalendar import Calendar

from jobs.actions.mailing import send_notice
from jobs.calendars.replies import read_mail
from jobs.models import Notice
from tests.factories import NOW
from tests.letterbox import calendar_part, mail_server
from tests.told import NEXT_FRIDAY, issue_next, make_told

PHONE_CONFERENCE = b"""From: sman@netscape.example.com
To: stevesil@microsoft.example.com
Subject: Phone Conference
Mime-Version: 1.0
Content-Type: text/calendar; method=REQUEST; charset=US-ASCII
Content-Transfer-Encoding: 7bit

BEGIN:VCALENDAR
PRODID:-//Example/ExampleCalendarClient//EN
METHOD:REQUEST
VERSION:2.0
BEGIN:VEVENT
ORGANIZER:mailto:man@netscape.example.com
ATTENDEE;ROLE=CHAIR;PARTSTAT=ACCEPTED:mailto:man@netscape.example.com
ATTENDEE;RSVP=YES:mailto:stevesil@microsoft.example.com
DTSTAMP:19970611T190000Z
DTSTART:19970701T210000Z
DTEND:19970701T230000Z
SUMMARY:Phone Conference
DESCRIPTION:Please review the attached document.
UID:calsvr.example.com-873970198738777
STATUS:CONFIRMED
END:VEVENT
END:VCALENDAR
"""
"""Section 4.1, first example; the last lines of it from memory."""


LOW_FIDELITY = b"""From: user1@example.com
To: user2@example.com
Subject: Phone Conference
Mime-Version: 1.0
Content-Type: multipart/alternative; boundary="01BD3665.3AF0D360"

--01BD3665.3AF0D360
Content-Type: text/plain; charset=us-ascii
Content-Transfer-Encoding: 7bit

This is an alternative representation of a "text/calendar" MIME object.

--01BD3665.3AF0D360
Content-Type: text/calendar; method=REPLY; charset=us-ascii
Content-Transfer-Encoding: 7bit

BEGIN:VCALENDAR
PRODID:-//Example/ExampleCalendarClient//EN
METHOD:REPLY
VERSION:2.0
BEGIN:VEVENT
ORGANIZER:mailto:user2@example.com
ATTENDEE;PARTSTAT=ACCEPTED:mailto:user1@example.com
DTSTAMP:19970701T170000Z
UID:calsvr.example.com-8739701987387998
SEQUENCE:0
END:VEVENT
END:VCALENDAR

--01BD3665.3AF0D360--
"""
"""Section 4.2, words beside the calendar for programs that know none; from memory, and as a REPLY."""


@pytest.fixture
def arrived(db, settings) -> EmailMessage:
    settings.REPLY_ADDRESS = "dates@rewire.example"
    told = make_told()
    issue_next(told, NEXT_FRIDAY, NOW + timedelta(hours=1))
    with mail_server(settings) as letterbox:
        send_notice(notice_pk=Notice.objects.latest("pk").pk, now=NOW)
    return letterbox.messages[0]


def test_nobody_is_answered_when_somebody_invites_us():
    """A REQUEST is no answer, whoever sends it."""
    assert read_mail(PHONE_CONFERENCE).answer is None


def test_same_reply_is_taken_when_the_conference_is_accepted():
    """The example turned round: the attendee's REPLY to it."""
    raw = PHONE_CONFERENCE.replace(b"REQUEST", b"REPLY").replace(b"sman@netscape", b"stevesil@microsoft")
    raw = raw.replace(b"ATTENDEE;ROLE=CHAIR;PARTSTAT=ACCEPTED:mailto:man@netscape.example.com\n", b"")
    answer = read_mail(raw.replace(b"RSVP=YES", b"PARTSTAT=ACCEPTED")).answer
    assert (answer.uid, answer.attendee) == ("calsvr.example.com-873970198738777", "stevesil@microsoft.example.com")
    assert (answer.sequence, answer.participation) == (0, "ACCEPTED")


def test_calendar_is_read_and_not_the_words_when_a_mail_holds_both():
    """Section 4.2."""
    mail = read_mail(LOW_FIDELITY)
    assert (mail.answer.participation, mail.answer.attendee) == ("ACCEPTED", "user1@example.com")


def test_nothing_is_answered_when_a_calendar_of_several_events_is_published():
    """Section 4.4: several similar components in one object; METHOD:PUBLISH asks nobody and answers nobody."""
    event = b"BEGIN:VEVENT\n" + PHONE_CONFERENCE.split(b"BEGIN:VEVENT\n")[1].split(b"END:VCALENDAR")[0]
    several = PHONE_CONFERENCE.replace(b"REQUEST", b"PUBLISH").replace(b"END:VCALENDAR", event + b"END:VCALENDAR")
    mail = read_mail(several)
    assert (mail.answer, mail.fault) == (None, "")


def test_content_type_has_method_and_charset_when_a_calendar_is_mailed(arrived):
    """Section 2.4: both are there, and the method is the one inside."""
    part = calendar_part(arrived)
    inside = Calendar.from_ical(part.get_content())["METHOD"]
    assert (part.get_param("method"), inside, part.get_content_charset()) == ("REQUEST", "REQUEST", "utf-8")


def test_eight_bit_data_is_encoded_when_a_calendar_is_mailed(arrived):
    """Section 2.5: UTF-8 travels in quoted-printable or base64."""
    assert calendar_part(arrived)["Content-Transfer-Encoding"] == "base64"


def test_addresses_are_mailto_when_a_calendar_is_mailed(arrived):
    """Section 2.3."""
    event = next(iter(Calendar.from_ical(calendar_part(arrived).get_content()).walk("VEVENT")))
    assert (event["ORGANIZER"].startswith("mailto:"), event["ATTENDEE"].startswith("mailto:")) == (True, True)


def test_sender_and_recipient_are_organizer_and_attendee_when_a_calendar_is_mailed(arrived):
    """Section 2.2.1: who sends a REQUEST is its organizer, so that readers can compare the two."""
    event = next(iter(Calendar.from_ical(calendar_part(arrived).get_content()).walk("VEVENT")))
    sender, recipient = (arrived[name].addresses[0].addr_spec for name in ("From", "To"))
    assert (f"mailto:{sender}", f"mailto:{recipient}") == (event["ORGANIZER"], event["ATTENDEE"])


def test_words_come_first_when_a_reader_knows_no_calendars(arrived):
    """Section 2.4 and RFC 2046 section 5.1.4: the plainest alternative first."""
    alternatives = next(part for part in arrived.walk() if part.get_content_type() == "multipart/alternative")
    assert [part.get_content_type() for part in alternatives.iter_parts()] == ["text/plain", "text/calendar"]

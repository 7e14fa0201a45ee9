"""Examples of RFC 5546 (iTIP) section 4, typed by hand; the section stands beside each check."""

from datetime import UTC, datetime

from jobs.calendars.invitation import invitation_text
from jobs.calendars.replies import CalendarAnswer, read_mail
from jobs.core.events import CalendarEvent
from jobs.core.invitations import Invitation, Method, Party

UID = "calsrv.example.com-873970198738777@example.com"
ORGANIZER, ATTENDEE = Party("", "a@example.com"), Party("B", "b@example.com")


def make_invitation(method: Method, *, stamp: datetime, sequence: int, **fields: object) -> Invitation:
    event = CalendarEvent(
        uid=UID, sequence=sequence, revised_at=stamp, starts=datetime(1997, 7, 1, 20, tzinfo=UTC),
        ends=datetime(1997, 7, 1, 21, tzinfo=UTC), summary="Conference", zone="UTC",
    )
    return Invitation(method, event, ORGANIZER, ATTENDEE, **fields)


def lines_of(invitation: Invitation) -> set[str]:
    return set(invitation_text(invitation).replace("\r\n ", "").split("\r\n"))


def mailed(sender: str, method: str, *lines: str) -> bytes:
    """The object as RFC 6047 sends it."""
    head = f"From: {sender}\r\nMessage-ID: <1@example.com>\r\nContent-Type: text/calendar; method={method}; charset=utf-8\r\n\r\n"
    begin = ["BEGIN:VCALENDAR", "PRODID:-//Example/ExampleCalendarClient//EN", f"METHOD:{method}", "VERSION:2.0", "BEGIN:VEVENT"]
    return (head + "\r\n".join([*begin, *lines, "END:VEVENT", "END:VCALENDAR", ""])).encode()


def test_group_event_is_asked_for_as_printed_when_a_trade_is_invited():
    """Section 4.2.1, for attendee B alone: its stray digit in DTEND left out."""
    printed = {
        "METHOD:REQUEST", "VERSION:2.0", "BEGIN:VEVENT", "ORGANIZER:mailto:a@example.com", "DTSTAMP:19970611T190000Z",
        "DTSTART:19970701T200000Z", "DTEND:19970701T210000Z", "SUMMARY:Conference", f"UID:{UID}", "SEQUENCE:0",
        "STATUS:CONFIRMED", "END:VEVENT", "END:VCALENDAR",
    }
    written = lines_of(make_invitation(Method.REQUEST, stamp=datetime(1997, 6, 11, 19, tzinfo=UTC), sequence=0))
    attendee = next(line for line in written if line.startswith("ATTENDEE"))
    assert printed <= written
    assert {"RSVP=TRUE", "CUTYPE=INDIVIDUAL", "CN=B"} <= set(attendee.removesuffix(":mailto:b@example.com").split(";"))


def test_reply_is_read_as_printed_when_b_accepts():
    """Section 4.2.2."""
    mail = read_mail(
        mailed(
            "b@example.com", "REPLY", "ATTENDEE;PARTSTAT=ACCEPTED:mailto:b@example.com", "ORGANIZER:mailto:a@example.com",
            f"UID:{UID}", "SEQUENCE:0", "REQUEST-STATUS:2.0;Success", "DTSTAMP:19970612T190000Z",
        )
    )
    assert mail.answer == CalendarAnswer(UID, 0, "b@example.com", "ACCEPTED", datetime(1997, 6, 12, 19, tzinfo=UTC))


def test_update_is_asked_for_as_printed_when_the_event_moves():
    """Section 4.2.3: the same UID, one number up, written later; its text from memory."""
    moved = make_invitation(Method.REQUEST, stamp=datetime(1997, 6, 13, 19, tzinfo=UTC), sequence=1)
    assert {"METHOD:REQUEST", f"UID:{UID}", "SEQUENCE:1", "DTSTAMP:19970613T190000Z", "ORGANIZER:mailto:a@example.com"} <= (
        lines_of(moved)
    )


def test_reply_of_one_who_passes_it_on_is_read_as_printed():
    """Section 4.2.5: C delegates to E; neither a yes nor a no. Its text from memory."""
    mail = read_mail(
        mailed(
            "c@example.com", "REPLY", "ORGANIZER:mailto:a@example.com",
            'ATTENDEE;PARTSTAT=DELEGATED;DELEGATED-TO="mailto:e@example.com":mailto:c@example.com',
            f"UID:{UID}", "SEQUENCE:0", "REQUEST-STATUS:2.0;Success", "DTSTAMP:19970611T190000Z",
        )
    )
    assert (mail.answer.attendee, mail.answer.participation) == ("c@example.com", "DELEGATED")


def test_reply_of_a_delegate_is_read_as_printed_when_they_accept():
    """Section 4.2.6: E answers for what C passed on; the sender is the one who answers. Its text from memory."""
    mail = read_mail(
        mailed(
            "e@example.com", "REPLY", "ORGANIZER:mailto:a@example.com",
            'ATTENDEE;PARTSTAT=DELEGATED;DELEGATED-TO="mailto:e@example.com":mailto:c@example.com',
            'ATTENDEE;PARTSTAT=ACCEPTED;DELEGATED-FROM="mailto:c@example.com":mailto:e@example.com',
            f"UID:{UID}", "SEQUENCE:0", "REQUEST-STATUS:2.0;Success", "DTSTAMP:19970614T190000Z",
        )
    )
    assert (mail.answer.attendee, mail.answer.participation) == ("e@example.com", "ACCEPTED")


def test_counter_is_read_as_printed_when_b_proposes_another_time():
    """Section 4.2.4: three are named; the one who sends it answers."""
    mail = read_mail(
        mailed(
            "b@example.com", "COUNTER", "ORGANIZER:mailto:a@example.com",
            "ATTENDEE;ROLE=CHAIR;PARTSTAT=ACCEPTED:mailto:a@example.com",
            "ATTENDEE;RSVP=TRUE;CUTYPE=INDIVIDUAL:mailto:b@example.com",
            "ATTENDEE;RSVP=TRUE;CUTYPE=INDIVIDUAL:mailto:c@example.com", "DTSTART:19970701T160000Z",
            "DTEND:19970701T170000Z", "DTSTAMP:19970612T190000Z", "SUMMARY:Discuss the Merits of the election results",
            "LOCATION:Blue Conference Room",
            "COMMENT:This time works much better and I think the big conference\r\n  room is too big", f"UID:{UID}", "SEQUENCE:0",
        )
    )
    assert mail.answer == CalendarAnswer(
        UID, 0, "b@example.com", "", datetime(1997, 6, 12, 19, tzinfo=UTC),
        "This time works much better and I think the big conference room is too big", datetime(1997, 7, 1, 16, tzinfo=UTC),
    )


def test_counter_is_declined_as_the_standard_asks_when_b_proposed_another_time():
    """Section 3.2.8: same UID, the SEQUENCE that was countered, when it was written, who organizes, what to say about it.

    The table of the section is from memory; libical asks the same in `tests/readers/`, but for the number.
    """
    stamp = datetime(1997, 6, 14, 19, tzinfo=UTC)
    written = lines_of(make_invitation(Method.DECLINECOUNTER, stamp=stamp, sequence=1, comment="The large room is taken."))
    assert {
        "METHOD:DECLINECOUNTER", "ORGANIZER:mailto:a@example.com", f"UID:{UID}", "SEQUENCE:1", "DTSTAMP:19970614T190000Z",
        "COMMENT:The large room is taken.",
    } <= written
    assert not any(line.startswith(("DTSTART", "ATTENDEE", "DESCRIPTION", "STATUS")) for line in written)


def test_event_is_cancelled_as_printed_when_it_goes():
    """Section 4.2.9."""
    printed = {
        "METHOD:CANCEL", "ORGANIZER:mailto:a@example.com", f"UID:{UID}", "SEQUENCE:1", "STATUS:CANCELLED",
        "DTSTAMP:19970613T190000Z",
    }
    assert printed <= lines_of(make_invitation(Method.CANCEL, stamp=datetime(1997, 6, 13, 19, tzinfo=UTC), sequence=1))


def test_required_properties_are_there_and_forbidden_ones_are_not_when_asked_or_cancelled():
    """Sections 3.2.2 and 3.2.5: presence tables of REQUEST and CANCEL."""
    stamp = datetime(1997, 6, 11, 19, tzinfo=UTC)
    for method in (Method.REQUEST, Method.CANCEL):
        names = [line.replace(":", ";").split(";")[0] for line in lines_of(make_invitation(method, stamp=stamp, sequence=2))]
        assert {"ATTENDEE", "DTSTAMP", "DTSTART", "ORGANIZER", "SEQUENCE", "SUMMARY", "UID"} <= set(names)
        assert not {"REQUEST-STATUS", "VALARM", "VFREEBUSY"} & set(names)

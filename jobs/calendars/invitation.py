"""Invitations to iCalendar text, for calendars that answer (RFC 5546); how they travel by mail is RFC 6047's."""

from icalendar import Calendar, Event, vCalAddress

from jobs.calendars.feed import END_OF_FEED, PRODUCT, add_identity, write_event
from jobs.calendars.text import clean
from jobs.calendars.zone import LONDON, LONDON_TEXT
from jobs.core.invitations import Invitation, Method, Party

FILE_NAME = "invite.ics"


def invitation_text(invitation: Invitation) -> str:
    """The whole calendar object; its one METHOD is what the mail's Content-Type must repeat (RFC 6047 section 2.4)."""
    written = _turned_down(invitation) if invitation.method == Method.DECLINECOUNTER else _asked(invitation)
    written.add("organizer", _address(invitation.organizer))
    text = written.to_ical().decode()
    zone = LONDON_TEXT if f"TZID={LONDON.key}" in text else ""
    return _head(invitation.method).removesuffix(END_OF_FEED) + zone + text + END_OF_FEED


def _asked(invitation: Invitation) -> Event:
    written = write_event(invitation.event)
    if invitation.method == Method.CANCEL:
        written.pop("status")
        written.add("status", "CANCELLED")
    written.add("attendee", _attendee(invitation))
    return written


def _turned_down(invitation: Invitation) -> Event:
    """Which event, in which version, and what to say about it: little else may stand there (RFC 5546 section 3.2.8).

    The number is left out where it is 0: it need not be there then, and libical 3.0 knows of none in such an answer.
    """
    written = Event()
    add_identity(written, invitation.event)
    written.pop("last-modified")
    if invitation.event.sequence == 0:
        written.pop("sequence")
    written.add("comment", clean(invitation.comment))
    return written


def _head(method: Method) -> str:
    head = Calendar()
    head.add("prodid", PRODUCT)
    head.add("version", "2.0")
    head.add("calscale", "GREGORIAN")
    head.add("method", method.value)
    return head.to_ical().decode()


def _attendee(invitation: Invitation) -> vCalAddress:
    attendee = _address(invitation.attendee)
    asks = invitation.wants_reply and invitation.method == Method.REQUEST and not invitation.is_agreed
    attendee.params["CUTYPE"] = "INDIVIDUAL"
    attendee.params["ROLE"] = "REQ-PARTICIPANT"
    attendee.params["PARTSTAT"] = "ACCEPTED" if invitation.is_agreed else "NEEDS-ACTION"
    attendee.params["RSVP"] = "TRUE" if asks else "FALSE"
    return attendee


def _address(party: Party) -> vCalAddress:
    # Line breaks and double quotes cannot stand in a parameter; icalendar writes them as RFC 6868 asks.
    name = " ".join(clean(party.name).split())
    return vCalAddress.new(party.address, cn=name or None)

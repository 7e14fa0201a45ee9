"""Run by itself (`python -O -m tests.calendars.hostile`): prints the names of every line and header written from hostile fields.

Some libraries refuse line breaks with `assert`, which -O takes away; ours must hold without.
"""

import json
import os
import sys
from datetime import UTC, datetime

BREAKS = ("\n", "\r", "\r\n", "\x0b", "\x0c", "\x1c", "\x85", "\u2028", "\u2029", "\x00\n", "\\n", "\n ")
INJECTED = "X-INJECTED:yes"


def main() -> None:
    names: dict[str, set[str]] = {"calendar": set(), "headers": set()}
    for text in (f"a{line_break}{INJECTED}" for line_break in BREAKS):
        for calendar in (_feed(text), _invitation(text)):
            lines = calendar.replace("\r\n ", "").removesuffix("\r\n").replace("\r\n", "\n").replace("\r", "\n").split("\n")
            names["calendar"] |= {line.replace(":", ";").split(";")[0] for line in lines}
        names["headers"] |= _header_names(text)
    json.dump({"is_debug": __debug__} | {key: sorted(found) for key, found in names.items()}, sys.stdout)


def _event(text: str):  # noqa: ANN202
    from jobs.core.events import CalendarEvent

    starts, ends = datetime(2027, 1, 13, 8, tzinfo=UTC), datetime(2027, 1, 13, 12, tzinfo=UTC)
    return CalendarEvent("11aa", 0, starts, starts, ends, summary=text, description=text, place=text)


def _feed(text: str) -> str:
    from jobs.calendars.feed import event_text, feed_text

    return feed_text(text, [event_text(_event(text))])


def _invitation(text: str) -> str:
    from jobs.calendars.invitation import invitation_text
    from jobs.core.invitations import Invitation, Method, Party

    return invitation_text(Invitation(Method.REQUEST, _event(text), Party(text, "a@b.example"), Party(text, "c@d.example")))


def _header_names(text: str) -> set[str]:
    from jobs.actions.mailing import build_mail
    from jobs.models import Contact, Firm, Invitation, InvitationMessage, Notice, ToldDate

    at = datetime(2027, 1, 13, 8, tzinfo=UTC)
    firm, contact = Firm(name=text, phone=text), Contact(name=text)
    notice = Notice(firm=firm, contact=contact, subject=text, lines=[text], message_id="<1@x.example>")
    message = InvitationMessage(
        firm=firm, notice=notice, told=ToldDate(), method="REQUEST", number=2, sequence=0, made_at=at, summary=text, place=text,
        invitation=Invitation(contact=contact, organizer="dates@x.example"), starts_at=at, ends_at=at.replace(hour=12),
    )
    return {name for invited in (None, message) for name in build_mail(notice, invited, "c@d.example", page="").message()}


if __name__ == "__main__":
    os.environ |= {"DJANGO_SETTINGS_MODULE": "rewire.settings", "REWIRE_DEBUG": "1"}
    import django

    django.setup()
    main()

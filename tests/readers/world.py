"""A firm whose trades were told all kinds of dates, and every calendar text that left it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta

from jobs.actions.calendar_entries import renew_entries
from jobs.actions.links import make_link
from jobs.actions.notices import write_notices
from jobs.actions.people import add_absence, add_college_day
from jobs.actions.visits import accept_visit
from jobs.calendars.feed import event_text, feed_text
from jobs.calendars.invitation import invitation_text
from jobs.core.invitations import Method
from jobs.models import Booking, CalendarEntry, Contact, Dependency, InvitationMessage, Job, Person, Plan, SecretLink, Span
from jobs.queries.feeds import feed_name, load_events
from jobs.queries.invitations import core_invitation
from jobs.queries.told import find_told
from tests.factories import (
    NOW,
    make_area,
    make_contact,
    make_firm,
    make_job,
    make_office,
    make_package,
    make_person,
    make_plan,
    make_visit,
    make_visit_kind,
)
from tests.readers.seen import LONDON, Seen, in_words, meant_by

WORDS = "Bwthyn Tŷ Gwyn; back, “top” floor\nsecond line \\ ^ \x07 ŵ漢字🔌"
FEEDS = ("trade", "person", "job", "firm", "customer")
HOLIDAY, FETCHED_ON = date(2027, 3, 29), date(2027, 3, 1)
SPANS = (
    (date(2027, 3, 25), date(2027, 3, 31), "am", "pm"),
    (date(2027, 3, 29), date(2027, 3, 29), "am", "am"),
    (date(2027, 11, 1), date(2027, 11, 2), "pm", "am"),
    (date(2027, 6, 8), date(2027, 6, 8), "am", "pm"),
)
"""Over a weekend with Easter, a half day, two halves around a night, a whole day."""


WORKED = ((date(2027, 3, 25), "am"), (date(2027, 3, 30), "am"), (date(2027, 3, 30), "pm"), (date(2027, 11, 1), "pm"))
NIGHTS = (
    ("2027-03-27T23:30", "2027-03-28T00:30"), ("2027-03-28T00:30", "2027-03-28T01:00"), ("2027-03-28T01:00", "2027-03-28T02:30"),
    ("2027-10-30T23:30", "2027-10-31T00:30"), ("2027-10-31T00:30", "2027-10-31T01:30"), ("2027-10-31T01:30", "2027-10-31T02:30"),
)
"""In UTC, around the hour that is left out in March and the one shown twice in October."""


@dataclass(frozen=True)
class Text:
    """A calendar that left, and what it is to say by the database; `waits`: uid → (uid that waits, how, days in between)."""

    name: str
    text: str
    meant: list[Seen]
    alarms: int = 0
    waits: dict[str, list[tuple]] = field(default_factory=dict)


@dataclass(frozen=True)
class World:
    """`held`: for each feed that shows entries as they are kept, uid → (sequence, start, end) of the rows."""

    messages: list[Text]
    feeds: dict[str, Text]
    held: dict[str, dict]
    turned_down: str


def read_feeds(world: World, read: Callable[[Iterable[str]], list[dict]]) -> dict[str, dict]:
    """What a reader that takes all texts at once makes of each feed."""
    return dict(zip(FEEDS, read(world.feeds[name].text for name in FEEDS), strict=True))


def make_world() -> World:
    """Everything is told, one date is agreed, then all move a week, and half of it is called off; crew work at night too."""
    firm = make_firm("Hazel, Lane; Electrics")
    office, pat = make_office(firm), make_contact(firm, name='Pat "Trowel" O’Neil, junior')
    job = make_job(firm, WORDS[:60], address=WORDS)
    asha = make_person(firm, "Asha")
    _tell_and_move(job, pat, asha, office)
    _add_days_away(asha, office)
    _add_nights(job, asha)
    links = {
        "trade": _link("trade_feed", office, contact=pat),
        "person": _link("person_feed", office, person=asha, shows_days_away=True, alarm_minutes=60),
        "job": _link("job_feed", office, job=job, shows_order=True),
        "firm": _link("firm_feed", office, shows_days_away=True, alarm_minutes=15),
        "customer": _link("customer_feed", office, job=job),
    }
    return World(_messages(), {name: _feed(name, link) for name, link in links.items()}, _held(pat, asha, job), _turned_down())


def _tell_and_move(job: Job, pat: Contact, asha: Person, office: object) -> None:
    firm, package = job.firm, make_package(make_area(job))
    visits = [make_visit(job, pat, make_visit_kind(firm, name=f"Plastering {number}")) for number in range(len(SPANS))]
    Dependency.objects.create(firm=firm, job=job, before_package=package, after_visit=visits[0], lag_days=3)
    Dependency.objects.create(firm=firm, job=job, before_visit=visits[0], after_visit=visits[1])
    link = _link("trade_page", office, contact=pat)
    for week, kept in enumerate((4, 4, 2)):
        now, moved = NOW + timedelta(hours=week), timedelta(weeks=min(week, 1))
        Plan.objects.filter(firm=firm).update(state=Plan.State.REPLACED)
        plan = make_plan(firm, Plan.State.ISSUED, made_at=now)
        for visit, (starts_on, ends_on, first, last) in list(zip(visits, SPANS, strict=True))[:kept]:
            Span.objects.create(
                firm=firm, plan=plan, visit=visit, starts_on=starts_on + moved, starts_half=first,
                ends_on=ends_on + moved, ends_half=last,
            )
        for on, half in WORKED:
            Booking.objects.create(firm=firm, plan=plan, package=package, person=asha, on=on + moved, half=half, hours=4)
        write_notices(plan=plan, previous=None, by=office, now=now)
        renew_entries(plan=plan, now=now)
        visits[0].refresh_from_db()
        accept_visit(told=find_told(visits[0]), link=link, now=now + timedelta(minutes=1))


def _add_days_away(asha: Person, office: object) -> None:
    add = {"person": asha, "by": office, "now": NOW}
    add_absence(kind="holiday", starts_on=HOLIDAY, ends_on=HOLIDAY, part="pm", **add)
    add_absence(kind="holiday", starts_on=HOLIDAY - timedelta(days=3), ends_on=HOLIDAY - timedelta(days=1), **add)
    add_college_day(weekday=0, starts_on=HOLIDAY, ends_on=date(2027, 4, 30), **add)


def _add_nights(job: Job, asha: Person) -> None:
    for starts, ends in NIGHTS:
        CalendarEntry.objects.create(
            firm=job.firm, job=job, person=asha, key=f"person:{asha.pk}:{starts}:{job.pk}", revised_at=NOW,
            starts_at=datetime.fromisoformat(starts).replace(tzinfo=UTC), summary=f"Night, {starts}",
            ends_at=datetime.fromisoformat(ends).replace(tzinfo=UTC), place=job.address_line,
        )


def _link(purpose: str, office: object, **fields: object) -> SecretLink:
    options = {name: fields.pop(name) for name in ("shows_days_away", "shows_order", "alarm_minutes") if name in fields}
    link, _ = make_link(purpose=purpose, by=office, now=NOW, **fields)
    for name, value in options.items():
        setattr(link, name, value)
    return link


def _feed(name: str, link: SecretLink) -> Text:
    events = load_events(link, FETCHED_ON)
    text = feed_text(feed_name(link), map(event_text, events))
    alarms = sum(event.alarm_minutes is not None for event in events)
    waits = {event.uid: [(each.uid, each.order, each.gap_days) for each in event.relations] for event in events}
    return Text(name, text, sorted(map(meant_by, events)), alarms, {uid: found for uid, found in waits.items() if found})


def _held(pat: Contact, asha: Person, job: Job) -> dict[str, dict]:
    rows = CalendarEntry.objects.filter(is_gone=False)
    chosen = {"trade": rows.filter(visit__contact=pat), "person": rows.filter(person=asha), "job": rows.filter(job=job)}
    return {name: {str(row.uid): _times(row) for row in found} for name, found in chosen.items()}


def _times(row: CalendarEntry) -> tuple[int, str, str]:
    days = (when.astimezone(LONDON).date() for when in (row.starts_at, row.ends_at))
    return row.sequence, *map(in_words, days if row.is_all_day else (row.starts_at, row.ends_at))


def _messages() -> list[Text]:
    rows = InvitationMessage.objects.select_related("invitation__contact", "firm", "told").order_by("pk")
    return [_message(row) for row in rows]


def _turned_down() -> str:
    """What a calendar hears whose proposal of another time does not suit."""
    row = InvitationMessage.objects.select_related("invitation__contact", "firm", "told").earliest("pk")
    asked = core_invitation(row, row.invitation.contact.email)
    return invitation_text(replace(asked, method=Method.DECLINECOUNTER, comment=WORDS))


def _message(row: InvitationMessage) -> Text:
    invitation = core_invitation(row, row.invitation.contact.email)
    meant = replace(meant_by(invitation.event), status="CANCELLED") if row.method == "CANCEL" else meant_by(invitation.event)
    return Text(row.method, invitation_text(invitation), [meant])

"""A firm whose trades were told all kinds of dates, and every calendar text that left it."""

from dataclasses import dataclass
from datetime import date, timedelta

from jobs.actions.calendar_entries import renew_entries
from jobs.actions.links import make_link
from jobs.actions.notices import write_notices
from jobs.actions.people import add_absence, add_college_day
from jobs.actions.visits import accept_visit
from jobs.calendars.feed import event_text, feed_text
from jobs.calendars.invitation import invitation_text
from jobs.models import Contact, InvitationMessage, Plan, SecretLink, Span
from jobs.queries.feeds import feed_name, load_events
from jobs.queries.invitations import core_invitation
from jobs.queries.told import find_told
from tests.factories import (
    NOW,
    make_contact,
    make_firm,
    make_job,
    make_office,
    make_person,
    make_plan,
    make_visit,
    make_visit_kind,
)

WORDS = "Bwthyn Tŷ Gwyn; back, “top” floor\nsecond line \\ ^ \x07 ŵ漢字🔌"
HOLIDAY = date(2027, 3, 29)
SPANS = (
    (date(2027, 3, 25), date(2027, 3, 31), "am", "pm"),
    (date(2027, 3, 29), date(2027, 3, 29), "am", "am"),
    (date(2027, 11, 1), date(2027, 11, 2), "pm", "am"),
    (date(2027, 6, 8), date(2027, 6, 8), "am", "pm"),
)
"""Over a weekend with Easter, a half day, two halves around a night, a whole day."""


@dataclass(frozen=True)
class Sent:
    """A message with the row it was made from."""

    message: InvitationMessage
    text: str


@dataclass(frozen=True)
class World:
    sent: list[Sent]
    feeds: list[str]


def make_world() -> World:
    """Everything is told, one date is agreed, then all move a week, and half of it is called off."""
    firm = make_firm("Hazel, Lane; Electrics")
    office, pat = make_office(firm), make_contact(firm, name='Pat "Trowel" O’Neil, junior')
    job = make_job(firm, WORDS[:60], address=WORDS)
    visits = [make_visit(job, pat, make_visit_kind(firm, name=f"Plastering {number}")) for number in range(len(SPANS))]
    link, _ = make_link(purpose=SecretLink.Purpose.TRADE_PAGE, contact=pat, by=office, now=NOW)
    feed, _ = make_link(purpose=SecretLink.Purpose.TRADE_FEED, contact=pat, by=office, now=NOW)
    for week, kept in enumerate((4, 4, 2)):
        now = NOW + timedelta(hours=week)
        Plan.objects.filter(firm=firm).update(state=Plan.State.REPLACED)
        plan = make_plan(firm, Plan.State.ISSUED, made_at=now)
        for visit, (starts_on, ends_on, first, last) in list(zip(visits, SPANS, strict=True))[:kept]:
            moved = timedelta(weeks=min(week, 1))
            Span.objects.create(
                firm=firm, plan=plan, visit=visit, starts_on=starts_on + moved, starts_half=first,
                ends_on=ends_on + moved, ends_half=last,
            )
        write_notices(plan=plan, previous=None, by=office, now=now)
        renew_entries(plan=plan, now=now)
        visits[0].refresh_from_db()
        accept_visit(told=find_told(visits[0]), link=link, now=now + timedelta(minutes=1))
    asha = make_person(firm, "Asha")
    add_absence(person=asha, kind="holiday", starts_on=HOLIDAY, ends_on=HOLIDAY, part="pm", by=office, now=now)
    add_college_day(person=asha, weekday=0, starts_on=HOLIDAY, ends_on=date(2027, 4, 30), by=office, now=now)
    whole, _ = make_link(purpose=SecretLink.Purpose.FIRM_FEED, by=office, now=NOW)
    whole.shows_days_away, whole.alarm_minutes = True, 60
    of_job, _ = make_link(purpose=SecretLink.Purpose.JOB_FEED, job=job, by=office, now=NOW)
    of_person, _ = make_link(purpose=SecretLink.Purpose.PERSON_FEED, person=asha, by=office, now=NOW)
    of_person.shows_days_away = True
    of_house, _ = make_link(purpose=SecretLink.Purpose.CUSTOMER_FEED, job=job, by=office, now=NOW)
    return World(_sent(pat), [_text(link) for link in (feed, whole, of_job, of_person, of_house)])


def _text(link: SecretLink) -> str:
    return feed_text(feed_name(link), map(event_text, load_events(link, date(2027, 3, 1))))


def _sent(contact: Contact) -> list[Sent]:
    messages = InvitationMessage.objects.select_related("invitation__contact", "firm", "told").order_by("pk")
    return [Sent(row, invitation_text(core_invitation(row, contact.email))) for row in messages]

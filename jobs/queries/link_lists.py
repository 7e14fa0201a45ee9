"""All calendars of a firm: for whom there could be one, and which are switched on."""

from dataclasses import dataclass
from datetime import datetime

from jobs.core.stages import Trade
from jobs.models import Contact, Firm, Job, Person, SecretLink
from jobs.queries.links import list_links

Purpose = SecretLink.Purpose


@dataclass(frozen=True)
class CalendarRow:
    purpose: str
    subject: Person | Job | Contact | Firm
    link: SecretLink | None


@dataclass(frozen=True)
class CalendarGroup:
    title: str
    rows: list[CalendarRow]


def load_calendars(firm: Firm, now: datetime) -> list[CalendarGroup]:
    """The whole firm's calendar, and one for everyone on the crew, every job that goes on and every trade with a visit."""
    links = {(link.purpose, _subject_pk(link)): link for link in list_links(firm, now)}
    people = Person.objects.filter(firm=firm, is_active=True)
    jobs = Job.objects.filter(firm=firm).exclude(state__in=(Job.State.HANDED_OVER, Job.State.DROPPED))
    trades = Contact.objects.filter(firm=firm, visits__isnull=False).exclude(trade=Trade.CUSTOMER).distinct()
    subjects = (
        ("Everything", Purpose.FIRM_FEED, [firm]),
        ("Crew", Purpose.PERSON_FEED, people),
        ("Jobs", Purpose.JOB_FEED, jobs),
        ("Trades", Purpose.TRADE_FEED, trades),
    )
    return [
        CalendarGroup(title, [CalendarRow(purpose, one, links.get((purpose, one.pk))) for one in of_kind])
        for title, purpose, of_kind in subjects
    ]


def _subject_pk(link: SecretLink) -> int:
    return link.person_id or link.job_id or link.contact_id or link.firm_id

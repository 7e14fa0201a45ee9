"""What somebody on the crew hears in the morning, and the office in the evening; None when there is nothing to say."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db.models import QuerySet, Sum

from jobs.core.stages import Half
from jobs.core.workdays import sessions_between
from jobs.models import Booking, DayMessage, Firm, Person, Plan, RoomTask, User, WorkedHours, WorkPackage
from jobs.queries.causes import load_causes
from jobs.queries.finishes import Finish, load_finishes
from jobs.queries.firm_calendar import load_calendar, local_today
from jobs.queries.people import list_bookings
from jobs.queries.planning_crew import load_away
from jobs.queries.plans import find_draft, find_issued
from jobs.queries.progress import Progress, load_progress
from jobs.queries.site import SiteJob, load_day
from jobs.queries.stock import ShortageRow, load_stores
from jobs.queries.van_loads import VanList, load_van_lists

SHOWN_LAST = 7


@dataclass(frozen=True)
class MorningMessage:
    """`van` is what to put on before setting off, None when nothing has to be."""

    person: Person
    on: date
    jobs: list[SiteJob]
    van: VanList | None

    @property
    def subject(self) -> str:
        return f"{self.on:%a} {self.on.day} {self.on:%B}: {', '.join(each.job.name for each in self.jobs)}"[:200]


@dataclass(frozen=True)
class DoneRow:
    """A package of the day: person-hours planned and said, lines ticked that day, and how far it is now."""

    package: WorkPackage
    planned_hours: Decimal
    said_hours: Decimal
    lines_ticked: int
    progress: Progress


@dataclass(frozen=True)
class EveningSummary:
    """`finishes`: jobs whose end moves or misses its promise. `orders`: what has to be ordered before the cut-off, and
    what is too late already."""

    on: date
    now: datetime
    done: list[DoneRow]
    finishes: list[Finish]
    has_draft: bool
    orders: list[ShortageRow]

    @property
    def subject(self) -> str:
        urgent = sum(not row.is_missed(self.now) for row in self.orders)
        to_order = f", {urgent} to order" if urgent else ""
        return f"{self.on:%a} {self.on.day} {self.on:%B}: done and to do{to_order}"


def load_morning(person: Person, on: date, now: datetime) -> MorningMessage | None:
    """None on a rest day, without a booking, and for somebody noted as away all that time."""
    firm = person.firm
    if not load_calendar(firm, on).is_working(on) or not _is_there(person, on):
        return None
    jobs = load_day(User(firm=firm, person=person), on)
    return MorningMessage(person, on, jobs, _van(person, on, now)) if jobs else None


def load_evening(firm: Firm, on: date, now: datetime) -> EveningSummary | None:
    """Of the day `on`; orders and finishes as they stand `now`."""
    draft, issued = find_draft(firm), find_issued(firm)
    done, finishes = _done(firm, on), _finishes(firm, draft, issued)
    orders = _orders(firm, draft or issued, on, now)
    if not (done or finishes or orders):
        return None
    return EveningSummary(on, now, done, finishes, draft is not None, orders)


def list_awaited(firm: Firm, on: date) -> QuerySet[Person]:
    """Who wants a morning message, can get one and is booked that day."""
    booked = list_bookings(firm, on).values("person_id")
    wanting = Person.objects.filter(firm=firm, is_active=True, wants_morning_message=True, pk__in=booked)
    return wanting.exclude(email="")


def find_next_booked_day(person: Person, today: date) -> date | None:
    rows = Booking.objects.filter(plan__state=Plan.State.ISSUED, person=person, on__gte=today)
    return rows.order_by("on").values_list("on", flat=True).first()


def list_sent(firm: Firm, person: Person | None = None) -> QuerySet[DayMessage]:
    """The last messages that left: a person's mornings, or the office's evenings."""
    return DayMessage.objects.filter(firm=firm, person=person)[:SHOWN_LAST]


def _is_there(person: Person, on: date) -> bool:
    """Absences may be newer than the plan people hold."""
    sessions = sessions_between(load_calendar(person.firm, on), on, on)
    away = load_away(person.firm, sessions).get(person.pk, {})
    booked = {row.half for row in list_bookings(person.firm, on) if row.person_id == person.pk}
    return any(sessions.index(on, Half(half)) not in away for half in booked)


def _van(person: Person, on: date, now: datetime) -> VanList | None:
    lists = load_van_lists(load_stores(person.firm, find_issued(person.firm), now), find_issued(person.firm), on)
    own = next((each for each in lists if each.person == person), None)
    return own if own and (own.to_fetch or own.missing) else None


def _done(firm: Firm, on: date) -> list[DoneRow]:
    planned, said, ticked = _planned_hours(firm, on), _said_hours(firm, on), _ticked(firm, on)
    packages = WorkPackage.objects.filter(pk__in={*planned, *said, *ticked}).select_related("area", "job")
    packages = list(packages.order_by("job__name", "area__position", "pk"))
    progress = load_progress(RoomTask.objects.filter(package__in=packages), "package_id")
    return [
        DoneRow(each, planned.get(each.pk, ZERO), said.get(each.pk, ZERO), ticked.get(each.pk, 0),
                progress.get((each.pk,), Progress()))
        for each in packages
    ]


ZERO = Decimal(0)


def _planned_hours(firm: Firm, on: date) -> dict[int, Decimal]:
    rows = list_bookings(firm, on).filter(is_alongside=False).order_by()
    return dict(rows.values_list("package_id").annotate(total=Sum("hours")))


def _said_hours(firm: Firm, on: date) -> dict[int, Decimal]:
    rows = WorkedHours.objects.filter(firm=firm, on=on, hours__gt=0).order_by()
    return dict(rows.values_list("package_id").annotate(total=Sum("hours")))


def _ticked(firm: Firm, on: date) -> dict[int, int]:
    midnight = datetime.combine(on, time(0), ZoneInfo(firm.zone))
    rows = RoomTask.objects.filter(firm=firm, done_at__gte=midnight, done_at__lt=midnight + timedelta(days=1), done_share__gte=1)
    counts: dict[int, int] = defaultdict(int)
    for package_pk in rows.values_list("package_id", flat=True):
        counts[package_pk] += 1
    return counts


def _finishes(firm: Firm, draft: Plan | None, issued: Plan | None) -> list[Finish]:
    """Ends that the draft moves against what people hold, and ends later than promised."""
    found = load_finishes(firm, load_causes(draft or issued), load_causes(issued))
    return sorted((row for row in found if row.has_moved or row.is_late), key=lambda row: row.job.name)


def _orders(firm: Firm, plan: Plan | None, on: date, now: datetime) -> list[ShortageRow]:
    today = local_today(firm, now)
    if plan is None or on != today:
        return []
    shortages = load_stores(firm, plan, now).shortages
    return [
        row for row in shortages
        if row.latest_order_at and row.latest_order_at.date() <= today and row.shortage.covered_on is None
    ]

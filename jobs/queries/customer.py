"""What a customer is told of their own job: no prices, no other job, nobody's surname."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.db.models import QuerySet

from jobs.core.customer_words import EMPTY, LIVED_IN, STAGE_WORDS, DayRun, day_runs, first_name, is_power_off
from jobs.core.slots import Slot
from jobs.core.stages import RoomKind, Stage, Trade
from jobs.core.workdays import Calendar
from jobs.models import Area, Booking, Job, Photo, Plan, Room, RoomTask, Span, Variation, VariationAnswer, Visit, WorkPackage
from jobs.queries.attendance import ATTENDED, span_slot
from jobs.queries.firm_calendar import load_calendar, local_today
from jobs.queries.plans import find_issued
from jobs.queries.variations import newest_answer

DONE = "done"
WEEK_END = 2
"""Rest days that do not part a run of days in the customer's eyes."""


@dataclass(frozen=True)
class StageRow:
    """A stage of an area. `slot` is None once it is over; `could_end_on`: kept four times in five."""

    area: Area
    slot: Slot | None
    could_end_on: date | None
    state: str

    @property
    def may_run_on(self) -> bool:
        return self.slot is not None and self.could_end_on is not None and self.could_end_on > self.slot.ends_on


@dataclass(frozen=True)
class StageRows:
    """A stage in plain words, area by area."""

    words: str
    rows: list[StageRow]

    @property
    def is_done(self) -> bool:
        return all(row.state == DONE for row in self.rows)


@dataclass(frozen=True)
class VisitRow:
    what: str
    who: str
    slot: Slot
    is_agreed: bool


@dataclass(frozen=True)
class Clearing:
    """Rooms to be cleared by the end of a day, before what starts there."""

    by_on: date
    starts_on: date
    words: str
    rooms: list[Room]


@dataclass(frozen=True)
class Comer:
    """Somebody of the crew by first name and trade, and on which days."""

    name: str
    trade: str
    runs: list[DayRun]


@dataclass(frozen=True)
class Found:
    """Something found or asked for that the survey lacks; `answer`: what the customer said last."""

    variation: Variation
    answer: VariationAnswer | None

    @property
    def is_open(self) -> bool:
        return self.variation.state == Variation.State.WAITING


@dataclass(frozen=True)
class CustomerPage:
    job: Job
    today: date
    stages: list[StageRows]
    visits: list[VisitRow]
    power_off: list[DayRun]
    clearings: list[Clearing]
    comers: list[Comer]
    found: list[Found]
    photos: list[Photo]

    @property
    def power_words(self) -> str:
        return LIVED_IN if self.job.is_occupied else EMPTY

    @property
    def unanswered(self) -> int:
        return sum(row.is_open and row.answer is None for row in self.found)


def load_customer_page(job: Job, now: datetime) -> CustomerPage:
    """As the issued plan has it; a draft is nobody's business yet."""
    today, plan = local_today(job.firm, now), find_issued(job.firm)
    packages = list(job.packages.select_related("area").order_by("area__position", "pk"))
    spans = {span.package_id: span for span in plan.spans.filter(package__job=job)} if plan else {}
    bookings, visits = _bookings(job, plan, today), list(_visit_rows(job, plan, today))
    return CustomerPage(
        job=job,
        today=today,
        stages=list(_stages(packages, spans, _begun(job))),
        visits=[row for row, _ in visits],
        power_off=_power_off(job, bookings, [span for _, span in visits]),
        clearings=_clearings(job, packages, spans, load_calendar(job.firm, today), today),
        comers=_comers(bookings),
        found=list_found(job),
        photos=list(list_shown_photos(job)),
    )


def list_found(job: Job) -> list[Found]:
    """What waits for an answer, then what the customer answered before."""
    rows = Variation.objects.filter(room__job=job).select_related("room", "kind").prefetch_related("customer_answers")
    found = [Found(row, newest_answer(row)) for row in rows]
    shown = [row for row in found if row.is_open or row.answer]
    return sorted(shown, key=lambda row: (not row.is_open, row.answer is not None))


def list_shown_photos(job: Job) -> QuerySet[Photo]:
    """Those the office chose."""
    rows = Photo.objects.filter(room__job=job, is_for_customer=True)
    return rows.select_related("room").order_by("taken_at", "pk")


def _bookings(job: Job, plan: Plan | None, today: date) -> list[Booking]:
    if plan is None:
        return []
    rows = plan.bookings.filter(package__job=job, on__gte=today).select_related("person", "package")
    return list(rows.order_by("on", "half", "person__name"))


def _begun(job: Job) -> set[int]:
    """Packages of which something is done."""
    tasks = RoomTask.objects.filter(package__job=job, is_withdrawn=False, done_share__gt=0).order_by()
    return set(tasks.values_list("package_id", flat=True))


def _stages(packages: list[WorkPackage], spans: dict[int, Span], begun: set[int]) -> Iterator[StageRows]:
    for stage in Stage:
        known = [one for one in packages if one.stage == stage and (one.pk in spans or one.finished_at)]
        if known:
            yield StageRows(STAGE_WORDS[stage], [_stage_row(one, spans.get(one.pk), one.pk in begun) for one in known])


def _stage_row(package: WorkPackage, span: Span | None, has_begun: bool) -> StageRow:
    if package.finished_at or span is None:
        return StageRow(package.area, None, None, DONE)
    return StageRow(package.area, span_slot(span), span.safe_end_on, "under way" if has_begun else "to come")


def _visit_rows(job: Job, plan: Plan | None, today: date) -> Iterator[tuple[VisitRow, Span]]:
    if plan is None:
        return
    spans = plan.spans.filter(visit__job=job, visit__state__in=ATTENDED, ends_on__gte=today)
    for span in spans.select_related("visit__kind", "visit__contact", "visit__area").order_by("starts_on", "pk"):
        visit, trade = span.visit, Trade(span.visit.kind.trade).label
        name = first_name(visit.contact.name) if visit.contact else ""
        yield VisitRow(str(visit), f"{name}, {trade.lower()}" if name else trade, span_slot(span), _is_agreed(visit)), span


def _is_agreed(visit: Visit) -> bool:
    return visit.state in (Visit.State.ACCEPTED, Visit.State.DONE)


def _power_off(job: Job, bookings: Iterable[Booking], visit_spans: Iterable[Span]) -> list[DayRun]:
    board_areas = set(job.rooms.filter(kind=RoomKind.BOARD).values_list("area_id", flat=True))
    days = {row.on for row in bookings if is_power_off(row.package.stage, has_board=row.package.area_id in board_areas)}
    days |= {span.starts_on for span in visit_spans if span.visit.kind.trade == Trade.NETWORK_OPERATOR}
    return day_runs(days)


def _clearings(
    job: Job, packages: list[WorkPackage], spans: dict[int, Span], calendar: Calendar, today: date
) -> list[Clearing]:
    """For each area, the next stage that is still to start there."""
    found = []
    by_area: dict[int, list[tuple[Span, WorkPackage]]] = defaultdict(list)
    for package in packages:
        span = spans.get(package.pk)
        if span and span.starts_on > today and not package.finished_at:
            by_area[package.area_id].append((span, package))
    for starts in by_area.values():
        span, package = min(starts, key=lambda pair: (pair[0].starts_on, pair[0].pk))
        rooms = _rooms_of(job, package)
        if rooms:
            before_on = _working_day_before(span.starts_on, calendar)
            found.append(Clearing(before_on, span.starts_on, STAGE_WORDS[Stage(package.stage)], rooms))
    return _taken_together(sorted(found, key=lambda row: (row.starts_on, row.words)))


def _taken_together(clearings: list[Clearing]) -> list[Clearing]:
    """Areas in which the same begins on the same day are one line."""
    joined: list[Clearing] = []
    for row in clearings:
        last = joined[-1] if joined else None
        if last and (last.starts_on, last.words) == (row.starts_on, row.words):
            joined[-1] = replace(last, rooms=[*last.rooms, *row.rooms])
        else:
            joined.append(row)
    return joined


def _rooms_of(job: Job, package: WorkPackage) -> list[Room]:
    tasks = RoomTask.objects.filter(package=package, is_withdrawn=False).order_by()
    rooms = job.rooms.filter(pk__in=tasks.values("room_id")).exclude(kind=RoomKind.OUTSIDE)
    return list(rooms.order_by("position", "pk"))


def _working_day_before(on: date, calendar: Calendar) -> date:
    day = on - timedelta(days=1)
    while not calendar.is_working(day):
        day -= timedelta(days=1)
    return day


def _comers(bookings: Iterable[Booking]) -> list[Comer]:
    days: dict[object, set[date]] = defaultdict(set)
    for row in bookings:
        days[row.person].add(row.on)
    return [
        Comer(first_name(person.name), person.get_grade_display().lower(), day_runs(on, bridged=WEEK_END))
        for person, on in days.items()
    ]

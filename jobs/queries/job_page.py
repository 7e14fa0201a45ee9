"""Everything the page of one job shows, in a number of queries that does not grow with the house."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import cached_property
from zoneinfo import ZoneInfo

from jobs.core.date_range import DateRange
from jobs.core.slots import Slot
from jobs.core.stages import Half, Stage
from jobs.core.strip import Bar, Mark, Strip, lay_out_strip
from jobs.models import Area, Dependency, Job, Plan, Room, RoomTask, Span, Visit, WorkPackage
from jobs.models.catalogue import DependencyRule
from jobs.queries.firm_calendar import local_today
from jobs.queries.hold_points import load_awaiting
from jobs.queries.job_dates import GONE_STATES, JobSpans, package_slot, visit_slots
from jobs.queries.job_needs import NeedRow, list_needs
from jobs.queries.needs import NEEDING_STATES
from jobs.queries.progress import Progress, load_progress, total
from jobs.queries.ranges import end_range, finish_range, start_range
from jobs.queries.stock import ShortageRow

WHOLE_HOUSE = "Whole house"
STAGES = list(Stage)


@dataclass(frozen=True)
class PackageRow:
    """A work package with its days in the plan, or the days it was worked once it is finished."""

    package: WorkPackage
    progress: Progress
    slot: Slot | None
    cause: str
    range: DateRange | None = None

    @property
    def hours(self) -> Decimal:
        corrected = self.package.corrected_hours
        return self.package.labour_hours if corrected is None else corrected

    @property
    def hours_left(self) -> Decimal:
        if self.progress.is_done or self.package.finished_at:
            return Decimal(0)
        return self.hours * (1 - Decimal(self.progress.share))


@dataclass(frozen=True)
class RoomRow:
    """A room; `stages` are (stage in words, progress) in the order of work."""

    room: Room
    progress: Progress
    stages: tuple[tuple[str, Progress], ...]

    @property
    def current(self) -> tuple[str, Progress] | None:
        """The first stage with something left to tick."""
        return next(((stage, progress) for stage, progress in self.stages if not progress.is_done), None)


@dataclass(frozen=True)
class AreaRows:
    area: Area
    packages: tuple[PackageRow, ...]
    rooms: tuple[RoomRow, ...]

    @property
    def progress(self) -> Progress:
        return total(row.progress for row in self.packages)


@dataclass(frozen=True)
class VisitRow:
    """A visit and its days in the plan; `awaits_go_ahead` while what it covers is not recorded."""

    visit: Visit
    slot: Slot | None
    awaits_go_ahead: bool
    cause: str
    range: DateRange | None = None

    @property
    def is_gone(self) -> bool:
        return self.visit.state in GONE_STATES


@dataclass(frozen=True)
class Wait:
    """“after waits for before”, with the lag and the reason in words."""

    dependency: Dependency
    after: str
    before: str
    how: str
    is_over: bool


@dataclass(frozen=True)
class StripLine:
    """A line of the strip's text twin."""

    lane: str
    what: str
    slot: Slot
    state: str


@dataclass(frozen=True)
class JobPage:
    job: Job
    plan: Plan | None
    areas: tuple[AreaRows, ...]
    visits: tuple[VisitRow, ...]
    waits: tuple[Wait, ...]
    needs: tuple[NeedRow, ...]
    today: date

    @property
    def progress(self) -> Progress:
        return total(area.progress for area in self.areas)

    @property
    def finish(self) -> DateRange | None:
        """When the job ends by the plan, and how firm that is."""
        ends = [row.slot.ends_on for row in (*self.packages, *self.visits) if row.slot]
        return finish_range(self.plan, self.job.pk, max(ends)) if ends else None

    @property
    def packages(self) -> list[PackageRow]:
        return [row for area in self.areas for row in area.packages]

    @property
    def hours_left(self) -> Decimal:
        return sum((row.hours_left for row in self.packages), Decimal(0))

    @property
    def open_waits(self) -> list[Wait]:
        return [wait for wait in self.waits if not wait.is_over]

    @property
    def past_waits(self) -> list[Wait]:
        return [wait for wait in self.waits if wait.is_over]

    @property
    def is_netted(self) -> bool:
        """Whether its needs are counted against stock and orders."""
        return self.job.state in NEEDING_STATES

    @property
    def shortages(self) -> list[ShortageRow]:
        return [row for need in self.needs for row in need.shortages]

    @cached_property
    def strip(self) -> Strip | None:
        lanes = [*(row.area.name for row in self.areas), WHOLE_HOUSE]
        return lay_out_strip(lanes, self.bars, self.marks, self.today)

    @cached_property
    def bars(self) -> list[Bar]:
        worked = [
            Bar(str(row.package.area), row.package.stage, row.package.get_stage_display(), row.slot, row.progress.share)
            for row in self.packages
            if row.slot
        ]
        return worked + list(_drying_bars(self.waits, self.visits))

    @cached_property
    def marks(self) -> list[Mark]:
        return [
            Mark(str(row.visit.area or WHOLE_HOUSE), str(row.visit.kind), row.visit.get_state_display(), row.slot)
            for row in self.visits
            if row.slot and not row.is_gone
        ]

    @property
    def strip_lines(self) -> list[StripLine]:
        """The strip in words, area by area and day by day."""
        bars = [StripLine(bar.lane, bar.label, bar.slot, _bar_state(bar)) for bar in self.bars]
        marks = [StripLine(mark.lane, mark.label, mark.slot, mark.state) for mark in self.marks]
        lanes = [*(row.area.name for row in self.areas), WHOLE_HOUSE]
        return sorted(bars + marks, key=lambda line: (lanes.index(line.lane), line.slot, line.what))


def load_job_page(job: Job, plan: Plan | None, now: datetime) -> JobPage:
    """`plan` gives the dates; None while nothing was planned."""
    spans, today = JobSpans(job, plan), local_today(job.firm, now)
    return JobPage(
        job=job,
        plan=plan,
        areas=tuple(_area_rows(job, spans)),
        visits=tuple(_visit_rows(job, spans, today)),
        waits=tuple(_waits(job)),
        needs=tuple(list_needs(job, plan, now)),
        today=today,
    )


def _area_rows(job: Job, spans: JobSpans) -> Iterator[AreaRows]:
    progress = load_progress(RoomTask.objects.filter(package__job=job), "package_id", "room_id")
    packages = {row.pk: row for row in WorkPackage.objects.filter(job=job).select_related("area")}
    rows = _package_rows(packages.values(), progress, spans, ZoneInfo(job.firm.zone))
    rooms = _room_rows(job, progress, packages)
    for area in Area.objects.filter(job=job):
        yield AreaRows(area, tuple(rows[area.pk]), tuple(rooms[area.pk]))


def _package_rows(
    packages: Iterable[WorkPackage], progress: dict[tuple, Progress], spans: JobSpans, zone: ZoneInfo
) -> dict[int, list[PackageRow]]:
    own: dict[int, Progress] = defaultdict(Progress)
    for (package, _), part in progress.items():
        own[package] += part
    found: dict[int, list[PackageRow]] = defaultdict(list)
    for row in sorted(packages, key=lambda row: STAGES.index(Stage(row.stage))):
        span = spans.packages.get(row.pk)
        slot = package_slot(span, own[row.pk], zone)
        firmness = None if own[row.pk].is_done else end_range(span)
        found[row.area_id].append(PackageRow(row, own[row.pk], slot, _cause(span), firmness))
    return found


def _room_rows(
    job: Job, progress: dict[tuple, Progress], packages: dict[int, WorkPackage]
) -> dict[int, list[RoomRow]]:
    by_room: dict[int, dict[str, Progress]] = defaultdict(dict)
    for (package, room), part in progress.items():
        stage = packages[package].stage
        by_room[room][stage] = by_room[room].get(stage, Progress()) + part
    found: dict[int, list[RoomRow]] = defaultdict(list)
    for room in Room.objects.filter(job=job).select_related("area"):
        own = by_room[room.pk]
        stages = tuple((stage.label, own[stage]) for stage in Stage if stage in own)
        found[room.area_id].append(RoomRow(room, total(own.values()), stages))
    return found


def _visit_rows(job: Job, spans: JobSpans, today: date) -> list[VisitRow]:
    """Visits by date, those that will not take place last."""
    visits = list(Visit.objects.filter(job=job).select_related("kind", "area", "contact"))
    slots = visit_slots(job, visits, spans, today)
    awaiting = load_awaiting(visit for visit in visits if visit.state not in (*GONE_STATES, Visit.State.DONE))
    rows = [
        VisitRow(visit, slots.get(visit.pk), visit.pk in awaiting, _cause(span), _visit_range(visit, span))
        for visit, span in ((visit, spans.visits.get(visit.pk)) for visit in visits)
    ]
    return sorted(rows, key=lambda row: (row.is_gone, row.slot.starts_on if row.slot else date.max, row.visit.pk))


def _visit_range(visit: Visit, span: Span | None) -> DateRange | None:
    return None if visit.state == Visit.State.DONE else start_range(span)


def _cause(span: Span | None) -> str:
    return span.cause.get("words", "") if span else ""


def _drying_bars(waits: Iterable[Wait], visits: Iterable[VisitRow]) -> Iterator[Bar]:
    """The days between a plasterer's last and the second fix that waits for the plaster, area by area."""
    slots = {row.visit.pk: row.slot for row in visits if row.slot and not row.is_gone}
    longest: dict[str, Slot] = {}
    for row in (wait.dependency for wait in waits):
        plastered = slots.get(row.before_visit_id)
        if plastered and row.lag_days > 1 and row.after_package and row.after_package.stage == Stage.SECOND_FIX:
            first_on, last_on = (plastered.ends_on + timedelta(days=days) for days in (1, row.lag_days - 1))
            slot, lane = Slot(first_on, Half.MORNING, last_on, Half.AFTERNOON), str(row.after_package.area)
            longest[lane] = max(longest.get(lane, slot), slot, key=lambda one: one.ends_on)
    for lane, slot in longest.items():
        yield Bar(lane, Stage.PLASTER_WAIT, Stage.PLASTER_WAIT.label, slot)


def _bar_state(bar: Bar) -> str:
    if bar.stage == Stage.PLASTER_WAIT:
        return "drying"
    return "done" if bar.done_share >= 1 else f"{int(bar.done_share * 100)} % done" if bar.done_share else "to do"


RELATED_ENDS = (
    "before_package__area", "after_package__area", "before_visit__kind", "before_visit__area", "after_visit__kind",
    "after_visit__area",
)


def _waits(job: Job) -> Iterator[Wait]:
    for row in Dependency.objects.filter(job=job).select_related(*RELATED_ENDS).order_by("pk"):
        before, after = row.before_package or row.before_visit, row.after_package or row.after_visit
        yield Wait(row, str(after), str(before), _how(row), _is_over(before))


def _how(row: Dependency) -> str:
    lags = [
        f"{row.lag_days} days" if row.lag_days > 1 else "1 day" if row.lag_days else "",
        f"{row.lag_sessions} half days of work" if row.lag_sessions > 1 else "half a day of work" if row.lag_sessions else "",
    ]
    lag = " and ".join(filter(None, lags))
    how = {
        DependencyRule.Kind.FINISH_START: "to end",
        DependencyRule.Kind.START_START: "to start",
        DependencyRule.Kind.INSIDE: "to be under way",
    }[DependencyRule.Kind(row.kind)]
    return f"{how}, and then {lag}" if lag else how


def _is_over(before: WorkPackage | Visit) -> bool:
    return bool(before.finished_at) if isinstance(before, WorkPackage) else before.state == Visit.State.DONE

"""One room on the phone: its checklist by stage, each line with what was marked on it, and its points."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet

from jobs.core.cautions import STEPS_OF_CHECK, Caution
from jobs.core.stages import Stage
from jobs.core.ticks import Standing
from jobs.models import Booking, Plan, Point, Room, RoomTask, User, WorkPackage
from jobs.queries.hold_points import COVERED_STAGES
from jobs.queries.power_gate import POWER_LINES
from jobs.queries.progress import Progress
from jobs.queries.site_progress import hours_of, measure
from jobs.queries.ticks import load_standings


@dataclass(frozen=True)
class Line:
    """A line of the checklist and where it stands."""

    task: RoomTask
    hours: Decimal
    standing: Standing

    @property
    def mark_ids(self) -> str:
        return " ".join(sorted(self.standing.marks))

    @property
    def caution(self) -> Caution | None:
        """The steps that ticking this line stands for."""
        return STEPS_OF_CHECK.get(self.task.code)

    @property
    def is_power(self) -> bool:
        """Whether it waits for the readings before power."""
        return self.task.code in POWER_LINES

    @property
    def percent(self) -> int:
        return int(self.standing.share * 100)


@dataclass(frozen=True)
class StageBlock:
    """A stage of the room; `is_now` when the person works on it today, or it comes next."""

    package: WorkPackage
    lines: list[Line]
    progress: Progress
    is_now: bool

    @property
    def hold_points_left(self) -> int:
        return sum(line.task.is_hold_point and not line.task.is_done for line in self.lines)

    @property
    def is_nearly_done(self) -> bool:
        """Whether nothing but hold points is open."""
        return all(line.task.is_hold_point or line.task.is_done for line in self.lines)

    @property
    def held_lines(self) -> list[Line]:
        """What must be recorded before this stage disappears or is made live; of later stages nothing yet."""
        is_due = self.is_now or self.package.stage in COVERED_STAGES
        return [line for line in self.lines if is_due and line.task.is_hold_point]


def load_room(room: Room, user: User, today: date) -> list[StageBlock]:
    """The room's stages with lines, in the order of the work; those of today stand out."""
    tasks = list(_tasks(room))
    standings = load_standings(tasks)
    by_stage: dict[str, list[RoomTask]] = defaultdict(list)
    for task in tasks:
        by_stage[task.package.stage].append(task)
    stages = [stage for stage in Stage if stage in by_stage]
    now = _booked_stages(tasks, user, today) or _next_stage(stages, by_stage)
    return [_block(by_stage[stage], standings, stage in now) for stage in stages]


def list_points(room: Room) -> QuerySet[Point]:
    return room.points.filter(is_dropped=False).select_related("kind", "circuit")


def _tasks(room: Room) -> QuerySet[RoomTask]:
    rows = RoomTask.objects.filter(room=room, is_withdrawn=False)
    return rows.select_related("package__area", "room", "done_by").order_by("position", "pk")


def _block(tasks: list[RoomTask], standings: dict[int, Standing], is_now: bool) -> StageBlock:
    lines = [Line(task, hours_of(task), standings[task.pk]) for task in tasks]
    return StageBlock(tasks[0].package, lines, measure(tasks), is_now)


def _booked_stages(tasks: Iterable[RoomTask], user: User, today: date) -> set[str]:
    packages = {task.package_id for task in tasks}
    rows = Booking.objects.filter(plan__state=Plan.State.ISSUED, on=today, package_id__in=packages)
    if user.person_id:
        rows = rows.filter(person_id=user.person_id)
    return set(rows.values_list("package__stage", flat=True))


def _next_stage(stages: Iterable[str], by_stage: dict[str, list[RoomTask]]) -> set[str]:
    """The first stage with an open line."""
    open_stages = (stage for stage in stages if any(not task.is_done for task in by_stage[stage]))
    return {stage for stage in [next(open_stages, None)] if stage}

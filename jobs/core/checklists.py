"""The lines a room shows at a stage, and what each weighs."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from jobs.core.shares import share_out
from jobs.core.stages import RoomKind, Stage
from jobs.core.takeoff import HouseSurvey, RoomSurvey, Task

CHECK_SHARE = Decimal("0.05")
"""Part of a package's labour that its checks stand for together (common practice, no source)."""
THOUSANDTH = Decimal("0.001")


@dataclass(frozen=True)
class Check:
    """A check of a stage: for every room (no kind), or extra for one kind of room."""

    code: str
    stage: Stage
    text: str
    room_kind: RoomKind | None = None
    is_hold_point: bool = False


@dataclass(frozen=True)
class Line:
    """What a crew member ticks. `code` is stable in its room and stage; `hours` is its part of the package's labour."""

    area: int
    room: int
    stage: Stage
    code: str
    name: str
    hours: Decimal = Decimal(0)
    point_kind: str = ""
    count: int = 0
    is_hold_point: bool = False

    @property
    def text(self) -> str:
        """Its name, with how many when there are several."""
        return f"{self.name} × {self.count}" if self.count > 1 else self.name


def checks_for(checks: Iterable[Check], stage: Stage, room_kind: RoomKind) -> list[Check]:
    """The stage's common checks, then the extra ones of the room's kind, in their given order."""
    of_stage = [check for check in checks if check.stage == stage]
    common = [check for check in of_stage if check.room_kind is None]
    return common + [check for check in of_stage if check.room_kind == room_kind]


def list_lines(house: HouseSurvey, tasks: Sequence[Task], checks: Sequence[Check]) -> list[Line]:
    """Every line of the house, room by room: first the work, then the checks. Hours add up to each package's labour.

    A room is checked at a stage in which it is worked in; at the test every room with points is checked.
    """
    worked = {(task.room, task.stage) for task in tasks}
    worked |= {(room.key, Stage.TEST) for room in house.rooms if room.points and _has_test(tasks)}
    lines = [_work_line(task) for task in tasks]
    for room in house.rooms:
        for stage in Stage:
            if (room.key, stage) in worked:
                lines += [_check_line(check, room, house) for check in checks_for(checks, stage, room.kind)]
    return weigh(lines)


def _has_test(tasks: Iterable[Task]) -> bool:
    return any(task.stage == Stage.TEST for task in tasks)


def _work_line(task: Task) -> Line:
    return Line(task.area, task.room, task.stage, task.code, task.text, task.hours, task.point_kind, task.count)


def _check_line(check: Check, room: RoomSurvey, house: HouseSurvey) -> Line:
    area = house.package_area(room, check.stage)
    return Line(area, room.key, check.stage, f"check:{check.code}", check.text, is_hold_point=check.is_hold_point)


def weigh(lines: Iterable[Line]) -> list[Line]:
    """The lines of each package with hours that add up to its labour exactly, to a thousandth of an hour.

    Checks share `CHECK_SHARE` of it evenly; the work shares the rest in proportion to its own hours.
    """
    packages: dict[tuple[int, Stage], list[Line]] = defaultdict(list)
    for line in lines:
        packages[line.area, line.stage].append(line)
    return [line for package in packages.values() for line in _weigh_package(package)]


def _weigh_package(lines: list[Line]) -> list[Line]:
    labour = sum((line.hours for line in lines), Decimal(0))
    checks = sum(1 for line in lines if not _is_work(line))
    for_checks = labour * CHECK_SHARE if checks and checks < len(lines) else Decimal(0)
    weights = [
        line.hours * (labour - for_checks) / labour if _is_work(line) and labour else for_checks / max(checks, 1)
        for line in lines
    ]
    return [replace(line, hours=hours) for line, hours in zip(lines, share_out(labour, weights, THOUSANDTH), strict=True)]


def _is_work(line: Line) -> bool:
    return not line.code.startswith("check:")


def spread_line(line: Line, had: Mapping[str, int], started: Collection[str]) -> list[Line]:
    """A line for points of a kind as one or several: points added after a tick get a line of their own.

    A tick means the points its line had when it was made. `had` are the lines there are (code → points), `started`
    those with a tick.
    """
    if not line.point_kind:
        return [line]
    counts = spread_count(line.count, had, started, line.code)
    hours = share_out(line.hours, [Decimal(count) for count in counts.values()], THOUSANDTH)
    parts = zip(counts.items(), hours, strict=True)
    return [replace(line, code=code, count=count, hours=part) for (code, count), part in parts]


def spread_count(count: int, had: Mapping[str, int], started: Collection[str], code: str) -> dict[str, int]:
    """How many points each line stands for once a room has `count` of a kind: a started line may shrink, not grow."""
    left, spread = count, {}
    for name in (name for name in had if name in started):
        spread[name] = min(had[name], left)
        left -= spread[name]
    if left:
        free = next((name for name in had if name not in started), None)
        spread[free or _new_name(code, had)] = left
    return {name: points for name, points in spread.items() if points}


def base_code(code: str) -> str:
    """The code of the line that a later one for the same points was named after."""
    return ":".join(code.split(":")[:2]) if code.startswith("point:") else code


def _new_name(code: str, had: Collection[str]) -> str:
    names = (code if number == 1 else f"{code}:{number}" for number in range(1, len(had) + 2))
    return next(name for name in names if name not in had)

"""From a surveyed house to labour hours and materials, by room, stage and task.

The firm's figures are `jobs.core.catalogue`. A house's test is one package in the area of its board; every other stage
is worked area by area.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cached_property
from itertools import product
from re import sub
from typing import TYPE_CHECKING

from jobs.core.cable_ways import Box
from jobs.core.catalogue import Catalogue, Norm, grouped, norm_hours, recipe_for
from jobs.core.stages import WORKED_STAGES, CircuitKind, DropCover, FloorKind, RoomKind, Stage, WallKind

if TYPE_CHECKING:
    from jobs.core.checklists import Line

HUNDREDTH = Decimal("0.01")
BOARD_POINT = "consumer-unit"


@dataclass(frozen=True)
class PointSurvey:
    kind: str
    circuit: str = ""
    height_metres: Decimal | None = None


@dataclass(frozen=True)
class RoomSurvey:
    """A room with its points. `key` and `area` are the caller's own; `box` is its place on the grid, where known."""

    key: int
    area: int
    name: str
    kind: RoomKind = RoomKind.OTHER
    wall: WallKind = WallKind.MASONRY
    floor: FloorKind = FloorKind.TIMBER
    points: tuple[PointSurvey, ...] = ()
    box: Box | None = None
    drop_cover: DropCover = DropCover.CAPPING


@dataclass(frozen=True)
class CircuitSurvey:
    """`cable`: the item, when it is not the usual one of its kind.

    `measured_metres`: as surveyed; `corrected_metres`: as a person put it right since, which stands before it.
    `branch_metres`: (cable, metres) of what branches off it, such as switch drops, as a person put it right.
    """

    reference: str
    name: str
    kind: CircuitKind
    cable: str = ""
    measured_metres: Decimal | None = None
    corrected_metres: Decimal | None = None
    branch_metres: tuple[tuple[str, Decimal], ...] = ()


@dataclass(frozen=True)
class HouseSurvey:
    """`accessory_range`: the code of the range it is fitted with; blank is what the recipes say."""

    rooms: tuple[RoomSurvey, ...]
    circuits: tuple[CircuitSurvey, ...] = ()
    wall: WallKind = WallKind.MASONRY
    is_occupied: bool = False
    accessory_range: str = ""

    @cached_property
    def board_room(self) -> RoomSurvey | None:
        """Where the consumer unit is, or is taken to be when the survey does not say: in the first room."""
        return self.known_board_room or next(iter(self.rooms), None)

    @cached_property
    def known_board_room(self) -> RoomSurvey | None:
        """The room with the consumer unit, else a room of that kind."""
        with_unit = [room for room in self.rooms if any(point.kind == BOARD_POINT for point in room.points)]
        of_kind = [room for room in self.rooms if room.kind == RoomKind.BOARD]
        return next(iter((*with_unit, *of_kind)), None)

    @cached_property
    def has_storeys(self) -> bool:
        return len({room.box.level for room in self.rooms if room.box}) > 1

    def package_area(self, room: RoomSurvey, stage: Stage) -> int:
        """The area whose package holds a room's work: its own, but the board's for the test."""
        return self.board_room.area if stage == Stage.TEST else room.area


@dataclass(frozen=True)
class Task:
    """Work on a room's points of a kind, or on the room, a circuit or the house; `code` is stable in a room and stage."""

    area: int
    room: int
    stage: Stage
    code: str
    text: str
    hours: Decimal
    point_kind: str = ""
    count: int = 0


@dataclass(frozen=True)
class Material:
    """What a task (by its code) takes of an item, waste included: pieces, or metres of cable."""

    area: int
    room: int
    stage: Stage
    code: str
    item: str
    quantity: Decimal


def list_tasks(house: HouseSurvey, catalogue: Catalogue) -> list[Task]:
    """Every piece of work of the house with its hours: rooms and points, then circuits and the house."""
    tasks = [*_room_tasks(house, catalogue), *_point_tasks(house, catalogue), *_house_tasks(house, catalogue)]
    return [task for task in tasks if task.hours > 0 or task.count]


def sum_hours(tasks: Iterable["Task | Line"]) -> dict[tuple[int, Stage], Decimal]:
    """Labour hours of each package (area, stage): of its tasks, or of the checklist lines made of them."""
    totals: dict[tuple[int, Stage], Decimal] = defaultdict(Decimal)
    for task in tasks:
        totals[task.area, task.stage] += task.hours
    return dict(totals)


def sum_materials(materials: Iterable[Material]) -> dict[tuple[int, Stage, str], Decimal]:
    """What each package (area, stage) takes of each item."""
    totals: dict[tuple[int, Stage, str], Decimal] = defaultdict(Decimal)
    for material in materials:
        totals[material.area, material.stage, material.item] += material.quantity
    return dict(totals)


def point_code(kind: str) -> str:
    return f"point:{kind}"


def count_kinds(room: RoomSurvey) -> dict[str, int]:
    """How many points of each kind a room has, in the order they were entered."""
    counts: dict[str, int] = defaultdict(int)
    for point in room.points:
        counts[point.kind] += 1
    return dict(counts)


def _room_tasks(house: HouseSurvey, catalogue: Catalogue) -> Iterator[Task]:
    for room, stage in product(house.rooms, WORKED_STAGES):
        for text, norms in _by_task(catalogue, "room", stage).items():
            hours = norm_hours(norms, room_kind=room.kind, wall=room.wall, floor=room.floor)
            area = house.package_area(room, stage)
            yield Task(area, room.key, stage, f"room:{slug(text)}", text, _worked(hours, house, catalogue))


def _point_tasks(house: HouseSurvey, catalogue: Catalogue) -> Iterator[Task]:
    for room, stage in product(house.rooms, WORKED_STAGES):
        for kind, count in count_kinds(room).items():
            norms = catalogue.norms_of.get(("point", kind, stage), [])
            if norms or recipe_for(catalogue, kind, stage, room.wall):
                each = norm_hours(norms, room_kind=room.kind, wall=room.wall, floor=room.floor)
                hours = _worked(each * count, house, catalogue)
                area, name = house.package_area(room, stage), catalogue.kinds[kind].name
                yield Task(area, room.key, stage, point_code(kind), name, hours, kind, count)


def _house_tasks(house: HouseSurvey, catalogue: Catalogue) -> Iterator[Task]:
    """Work per circuit and for the house, done at the board."""
    board = house.board_room
    for per, stage in product(("circuit", "job") if board else (), WORKED_STAGES):
        for text, norms in _by_task(catalogue, per, stage).items():
            hours = _worked(norm_hours(norms, room_kind=None, wall=house.wall, floor=None), house, catalogue)
            for code, words in _house_lines(per, text, house):
                yield Task(board.area, board.key, stage, code, words, hours)


def _house_lines(per: str, text: str, house: HouseSurvey) -> list[tuple[str, str]]:
    if per == "job":
        return [(f"house:{slug(text)}", text)]
    return [
        (f"circuit:{slug(text)}:{circuit.reference}", f"{text} {circuit.reference} {circuit.name}".strip())
        for circuit in house.circuits
    ]


def _by_task(catalogue: Catalogue, per: str, stage: Stage) -> dict[str, list[Norm]]:
    return grouped(catalogue.norms_of.get((per, "", stage), []), lambda norm: norm.task)


def _worked(hours: Decimal, house: HouseSurvey, catalogue: Catalogue) -> Decimal:
    factor = catalogue.occupied_factor if house.is_occupied else 1
    return (hours * factor).quantize(HUNDREDTH, ROUND_HALF_UP)


def slug(text: str) -> str:
    """A short code of plain letters and hyphens, at most 40 characters."""
    return sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")[:40]

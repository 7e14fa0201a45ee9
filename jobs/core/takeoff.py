"""From a surveyed house to labour hours and materials, by room, stage and task.

Hours are those of an electrician working alone; a firm's norms are common practice unless their row says otherwise.
A house's test is one package in the area of its board; every other stage is worked area by area.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import dataclass, field, replace
from decimal import ROUND_HALF_UP, Decimal
from functools import cached_property
from itertools import product
from re import sub

from jobs.core.cable import Averages
from jobs.core.cable_ways import Box
from jobs.core.stages import WORKED_STAGES, CircuitKind, DropCover, FloorKind, RoomKind, Stage, WallKind

LATH_FACTOR = Decimal("1.15")
"""Lath and plaster against masonry (common practice, no source)."""
KITCHEN_STRIP_OUT_FACTOR = Decimal("1.5")
"""A kitchen's strip-out against another room's (common practice, no source)."""
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
    """

    reference: str
    name: str
    kind: CircuitKind
    cable: str = ""
    measured_metres: Decimal | None = None
    corrected_metres: Decimal | None = None


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
class PointKind:
    """`places`: where a cable goes for one of them, such as to both of a pair of switches."""

    code: str
    name: str
    cable_ends: int = 2
    run_metres: Decimal | None = None
    is_ceiling: bool = False
    places: int = 1


@dataclass(frozen=True)
class Recipe:
    """A material one point of a kind takes at a stage; no wall means any wall. Pieces, or metres of cable."""

    point_kind: str
    stage: Stage
    item: str
    quantity: Decimal
    wall: WallKind | None = None


@dataclass(frozen=True)
class CircuitRecipe:
    """What a circuit of a kind takes. `fire_clip`, of metal, takes the place of every third clip."""

    cable: str
    averages: Averages
    clip: str = ""
    device: str = ""
    fire_clip: str = ""


@dataclass(frozen=True)
class Swap:
    """What is taken in place of an item where a range or a cover of drops is chosen; quantity 0 is nothing."""

    choice: str
    in_place_of: str
    item: str
    quantity: Decimal


@dataclass(frozen=True)
class Norm:
    """Hours per "point", "room", "circuit" or "job"; an empty condition fits everything."""

    per: str
    stage: Stage
    task: str
    hours: Decimal
    point_kind: str = ""
    room_kind: RoomKind | None = None
    wall: WallKind | None = None
    floor: FloorKind | None = None


@dataclass(frozen=True)
class Catalogue:
    """A firm's own figures. `live_mm2`: conductor size by cable item; `ways`: of consumer units by item."""

    kinds: Mapping[str, PointKind]
    recipes: tuple[Recipe, ...] = ()
    norms: tuple[Norm, ...] = ()
    circuits: Mapping[CircuitKind, CircuitRecipe] = field(default_factory=dict)
    live_mm2: Mapping[str, Decimal] = field(default_factory=dict)
    ways: Mapping[str, int] = field(default_factory=dict)
    swaps: tuple[Swap, ...] = ()
    spare_ways_percent: int = 20
    slack_metres: Decimal = Decimal("0.30")
    board_end_metres: Decimal = Decimal("1.0")
    waste_percent: Decimal = Decimal(10)
    occupied_factor: Decimal = Decimal("1.30")

    @cached_property
    def recipes_of(self) -> dict[tuple[str, Stage], list[Recipe]]:
        return _grouped(self.recipes, lambda recipe: (recipe.point_kind, recipe.stage))

    @cached_property
    def norms_of(self) -> dict[tuple[str, str, Stage], list[Norm]]:
        return _grouped(self.norms, lambda norm: (norm.per, norm.point_kind, norm.stage))

    @cached_property
    def swaps_of(self) -> dict[tuple[str, str], list[Swap]]:
        """By choice (a range's code or a cover of drops) and item."""
        return _grouped(self.swaps, lambda swap: (swap.choice, swap.in_place_of))


def add_kinds(catalogue: Catalogue, other: Catalogue, codes: Set[str]) -> Catalogue:
    """`catalogue` with the kinds of point `codes` of `other`, their recipes and hours; the rest as it is."""
    return replace(
        catalogue,
        kinds={**catalogue.kinds, **{code: other.kinds[code] for code in codes}},
        recipes=catalogue.recipes + tuple(recipe for recipe in other.recipes if recipe.point_kind in codes),
        norms=catalogue.norms + tuple(norm for norm in other.norms if norm.point_kind in codes),
        live_mm2={**other.live_mm2, **catalogue.live_mm2},
    )


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


def sum_hours(tasks: Iterable[Task]) -> dict[tuple[int, Stage], Decimal]:
    """Labour hours of each package (area, stage)."""
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


def recipe_for(catalogue: Catalogue, kind: str, stage: Stage, wall: WallKind) -> list[Recipe]:
    """The lines that hold on any wall and those of this wall; lath takes masonry's where it has none of its own."""
    lines = catalogue.recipes_of.get((kind, stage), [])
    has_own = any(line.wall == wall for line in lines)
    on = WallKind.MASONRY if wall == WallKind.LATH and not has_own else wall
    return [line for line in lines if line.wall in {None, on}]


def norm_hours(norms: Iterable[Norm], *, room_kind: RoomKind | None, wall: WallKind, floor: FloorKind | None) -> Decimal:
    """Hours by the norm that fits closest: kind of room before wall before floor.

    Where lath has no norm of its own, masonry's counts with `LATH_FACTOR`; where a kitchen has none of its own,
    its strip-out counts with `KITCHEN_STRIP_OUT_FACTOR`. No fitting norm is no work.
    """
    walls = {None, wall, WallKind.MASONRY} if wall == WallKind.LATH else {None, wall}
    fitting = [
        norm for norm in norms
        if norm.room_kind in {None, room_kind} and norm.wall in walls and norm.floor in {None, floor}
    ]
    if not fitting:
        return Decimal(0)
    best = max(fitting, key=lambda norm: _closeness(norm, wall))
    return best.hours * _factor(best, room_kind, wall)


def _closeness(norm: Norm, wall: WallKind) -> tuple[bool, ...]:
    return norm.room_kind is not None, norm.wall == wall, norm.wall is not None, norm.floor is not None


def _factor(norm: Norm, room_kind: RoomKind | None, wall: WallKind) -> Decimal:
    is_borrowed = wall == WallKind.LATH and norm.wall == WallKind.MASONRY
    is_kitchen = room_kind == RoomKind.KITCHEN and norm.room_kind is None
    strips_kitchen = is_kitchen and norm.per == "room" and norm.stage == Stage.STRIP_OUT
    return (LATH_FACTOR if is_borrowed else 1) * (KITCHEN_STRIP_OUT_FACTOR if strips_kitchen else 1)


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
    return _grouped(catalogue.norms_of.get((per, "", stage), []), lambda norm: norm.task)


def _worked(hours: Decimal, house: HouseSurvey, catalogue: Catalogue) -> Decimal:
    factor = catalogue.occupied_factor if house.is_occupied else 1
    return (hours * factor).quantize(HUNDREDTH, ROUND_HALF_UP)


def slug(text: str) -> str:
    """A short code of plain letters and hyphens, at most 40 characters."""
    return sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")[:40]


def _grouped(rows: Iterable, key) -> dict:
    groups = defaultdict(list)
    for row in rows:
        groups[key(row)].append(row)
    return dict(groups)

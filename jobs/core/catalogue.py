"""A firm's own figures for take-off: kinds of point, recipes, hours, and what is taken in place of what.

Hours are those of an electrician working alone; a firm's norms are common practice unless their row says otherwise.
"""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping, Set
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cached_property

from jobs.core.cable import Averages
from jobs.core.stages import CircuitKind, FloorKind, RoomKind, Stage, WallKind

LATH_FACTOR = Decimal("1.15")
"""Lath and plaster against masonry (common practice, no source)."""
KITCHEN_STRIP_OUT_FACTOR = Decimal("1.5")
"""A kitchen's strip-out against another room's (common practice, no source)."""


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
        """Recipes by (kind of point, stage)."""
        return grouped(self.recipes, lambda recipe: (recipe.point_kind, recipe.stage))

    @cached_property
    def norms_of(self) -> dict[tuple[str, str, Stage], list[Norm]]:
        """Norms by (what they are per, kind of point, stage)."""
        return grouped(self.norms, lambda norm: (norm.per, norm.point_kind, norm.stage))

    @cached_property
    def swaps_of(self) -> dict[tuple[str, str], list[Swap]]:
        """By choice (a range's code or a cover of drops) and item."""
        return grouped(self.swaps, lambda swap: (swap.choice, swap.in_place_of))


def add_kinds(catalogue: Catalogue, other: Catalogue, codes: Set[str]) -> Catalogue:
    """`catalogue` with the kinds of point `codes` of `other`, their recipes and hours; the rest as it is."""
    return replace(
        catalogue,
        kinds={**catalogue.kinds, **{code: other.kinds[code] for code in codes}},
        recipes=catalogue.recipes + tuple(recipe for recipe in other.recipes if recipe.point_kind in codes),
        norms=catalogue.norms + tuple(norm for norm in other.norms if norm.point_kind in codes),
        live_mm2={**other.live_mm2, **catalogue.live_mm2},
    )


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


def grouped(rows: Iterable, key: Callable[..., Hashable]) -> dict:
    """Rows in lists by `key`, in the order they came."""
    groups = defaultdict(list)
    for row in rows:
        groups[key(row)].append(row)
    return dict(groups)

"""Cable, clips and protective devices of a house's circuits, shared out to the points they feed."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from itertools import product

from jobs.core.cable import CENTIMETRE, CableRun, PointEnds, average_run, clip_count, flat_cable_width_mm, loop_cable_metres
from jobs.core.cable_runs import Route, Stop
from jobs.core.catalogue import Catalogue, CircuitRecipe, Recipe, recipe_for
from jobs.core.circuit_routes import Branch, list_branches, route_circuit
from jobs.core.point_materials import is_fed_by_recipe
from jobs.core.shares import share_out
from jobs.core.stages import WORKED_STAGES, Stage, WallKind, Worded
from jobs.core.takeoff import BOARD_POINT, CircuitSurvey, HouseSurvey, Material, RoomSurvey, point_code

LEAST_ROUTED_MM2 = Decimal("1.0")
"""Thinner cable controls something, such as a boiler, and goes there by itself: its recipe's length counts."""
FIRE_CLIP_EVERY = 3
"""Every third clip is of metal, so that cable does not hang in a fire (common practice, no source)."""


class Basis(Worded):
    """Where a circuit's length comes from."""

    CORRECTED = "corrected", "corrected"
    MEASURED = "measured", "measured"
    ROUTE = "route", "by its route, with slack and waste"
    AVERAGES = "averages", "by the firm's averages, as a room's place on the grid is not known"


@dataclass(frozen=True)
class BranchCable:
    """Cable of a room's points of a kind that are fed beside the circuit's own cable.

    `worked_out` is what it would be without a person's own figure, by route or by recipe, and why.
    """

    room: RoomSurvey
    kind: str
    cable: str
    metres: Decimal
    stage: Stage
    basis: Basis
    worked_out: tuple[Decimal, Basis]
    stops: tuple[tuple[Stop, ...], ...] = ()


@dataclass(frozen=True)
class CircuitCable:
    """What a circuit takes. `worked_out` is what its length would be without a person's own figure, and why.

    `route` is None where a room has no place on the grid. `branches` feed the points beside its own cable, such as
    switches: each with its cable and metres, waste included.
    """

    circuit: CircuitSurvey
    cable: str
    metres: Decimal
    basis: Basis
    worked_out: tuple[Decimal, Basis]
    route: Route | None = None
    clip: str = ""
    clips: int = 0
    fire_clip: str = ""
    fire_clips: int = 0
    branches: tuple[BranchCable, ...] = ()

    @property
    def metres_by_cable(self) -> dict[str, Decimal]:
        """All its cable by item: its own, and its branches'."""
        totals = {self.cable: self.metres}
        for branch in self.branches:
            totals[branch.cable] = totals.get(branch.cable, Decimal(0)) + branch.metres
        return totals


@dataclass(frozen=True)
class _Feed:
    """Points of one kind in one room on a circuit."""

    room: RoomSurvey
    kind: str
    count: int


def list_circuit_cables(house: HouseSurvey, catalogue: Catalogue) -> list[CircuitCable]:
    """Cable and clips of each circuit with points; a person's own length is taken as it is, waste included.

    Drops in masonry lie under capping, so clips count along the run and at the board; in stud walls down drops too. Where
    cable goes through drilled joists, these hold it.
    """
    cables = (_cable(circuit, house, catalogue) for circuit in house.circuits)
    return [cable for cable in cables if cable is not None]


def list_circuit_materials(house: HouseSurvey, catalogue: Catalogue) -> list[Material]:
    """Cable and clips at first fix, shared among the circuit's points; its protective device at second fix."""
    materials: list[Material] = []
    for cable in list_circuit_cables(house, catalogue):
        feeds = _feeds(cable.circuit, house, catalogue)
        materials += _shared(cable.cable, cable.metres, feeds, CENTIMETRE)
        for clip, clips in ((cable.clip, cable.clips), (cable.fire_clip, cable.fire_clips)):
            if clip and clips:
                materials += _shared(clip, Decimal(clips), feeds, Decimal(1))
        materials += _device(cable.circuit, feeds[0], house, catalogue)
    return materials + [_of_branch(branch) for branch in _all_branches(house, catalogue)]


def list_unwired(house: HouseSurvey, catalogue: Catalogue) -> list[tuple[RoomSurvey, str, int]]:
    """Points (room, kind, how many) that need a circuit and have none: their cable is not counted."""
    counts: dict[tuple[int, str], int] = {}
    for room in house.rooms:
        for point in room.points:
            if not point.circuit and catalogue.kinds[point.kind].cable_ends:
                counts[room.key, point.kind] = counts.get((room.key, point.kind), 0) + 1
    rooms = {room.key: room for room in house.rooms}
    return [(rooms[room], kind, count) for (room, kind), count in counts.items()]


def _cable(circuit: CircuitSurvey, house: HouseSurvey, catalogue: Catalogue) -> CircuitCable | None:
    recipe, feeds = catalogue.circuits.get(circuit.kind), _feeds(circuit, house, catalogue)
    if recipe is None or not feeds:
        return None
    route = route_circuit(circuit, house, catalogue)
    run = route.run if route else average_run(circuit.kind, _ends(feeds, catalogue), recipe.averages)
    worked_out = (_with_waste(run, catalogue), Basis.ROUTE if route else Basis.AVERAGES)
    metres, basis = _own_length(circuit) or worked_out
    cable = circuit.cable or recipe.cable
    across, down = _clipped(run, route, house) if (metres, basis) == worked_out else (metres, Decimal(0))
    clips = _clips(across, down, cable, catalogue)
    fire_clips = clips // FIRE_CLIP_EVERY if recipe.fire_clip else 0
    return CircuitCable(
        circuit, cable, metres, basis, worked_out, route, _clip_for(cable, recipe, catalogue), clips - fire_clips,
        recipe.fire_clip, fire_clips, tuple(_branch_cables(circuit.reference, house, catalogue)),
    )


def _own_length(circuit: CircuitSurvey) -> tuple[Decimal, Basis] | None:
    if circuit.corrected_metres is not None:
        return circuit.corrected_metres, Basis.CORRECTED
    if circuit.measured_metres is not None:
        return circuit.measured_metres, Basis.MEASURED
    return None


def _with_waste(run: CableRun, catalogue: Catalogue) -> Decimal:
    return loop_cable_metres(
        run,
        slack_metres=catalogue.slack_metres,
        board_end_metres=catalogue.board_end_metres,
        waste_percent=catalogue.waste_percent,
    )


def _clipped(run: CableRun, route: Route | None, house: HouseSurvey) -> tuple[Decimal, Decimal]:
    """Metres held by clips, across and down."""
    through_joists = route.across_metres if route else Decimal(0)
    down = run.vertical_metres if house.wall == WallKind.STUD else run.board_legs * run.board_leg_metres
    return max(run.floor_metres - through_joists, Decimal(0)), down


def _all_branches(house: HouseSurvey, catalogue: Catalogue) -> Iterator[BranchCable]:
    """Of every circuit, and of the points that hang on none, such as a thermostat."""
    for reference in dict.fromkeys(point.circuit for room in house.rooms for point in room.points):
        yield from _branch_cables(reference, house, catalogue)


def _branch_cables(reference: str, house: HouseSurvey, catalogue: Catalogue) -> list[BranchCable]:
    """A line for each room, kind of point and cable in its recipe: as a person put it right, else as worked out.

    A person's metres of a cable are shared among its lines as the metres worked out are.
    """
    circuit = next((one for one in house.circuits if one.reference == reference), None)
    branches = list(_worked_out_branches(circuit, reference, house, catalogue))
    for cable, metres in circuit.branch_metres if circuit else ():
        own = [number for number, branch in enumerate(branches) if branch.cable == cable]
        parts = share_out(metres, [branches[number].metres for number in own], CENTIMETRE) if own else []
        for number, part in zip(own, parts, strict=True):
            branches[number] = replace(branches[number], metres=part, basis=Basis.CORRECTED)
    return branches


def _worked_out_branches(
    circuit: CircuitSurvey | None, reference: str, house: HouseSurvey, catalogue: Catalogue
) -> Iterator[BranchCable]:
    """As routed, else as the recipe says."""
    can_route = circuit is not None and circuit.kind in catalogue.circuits
    routed = list_branches(circuit, house, catalogue) if can_route else []
    for room in house.rooms:
        own = Counter(point.kind for point in room.points if point.circuit == reference)
        for (kind, count), stage in product(own.items(), WORKED_STAGES):
            found = [branch for branch in routed if branch.room.key == room.key and branch.kind == kind]
            for recipe in recipe_for(catalogue, kind, stage, room.wall):
                if is_fed_by_recipe(recipe, catalogue):
                    yield _branch_cable(room, recipe, count, found, catalogue)


def _branch_cable(
    room: RoomSurvey, recipe: Recipe, count: int, routed: list[Branch], catalogue: Catalogue
) -> BranchCable:
    if not routed or catalogue.live_mm2[recipe.item] < LEAST_ROUTED_MM2:
        return _as_worked_out(room, recipe, recipe.quantity * count, Basis.AVERAGES)
    net = sum((branch.metres for branch in routed), Decimal(0))
    metres = (net * (1 + catalogue.waste_percent / 100)).quantize(CENTIMETRE, ROUND_HALF_UP)
    return _as_worked_out(room, recipe, metres, Basis.ROUTE, tuple(branch.stops for branch in routed))


def _as_worked_out(
    room: RoomSurvey, recipe: Recipe, metres: Decimal, basis: Basis, stops: tuple[tuple[Stop, ...], ...] = ()
) -> BranchCable:
    return BranchCable(room, recipe.point_kind, recipe.item, metres, recipe.stage, basis, (metres, basis), stops)


def _of_branch(branch: BranchCable) -> Material:
    return Material(
        branch.room.area, branch.room.key, branch.stage, point_code(branch.kind), branch.cable, branch.metres
    )


def _feeds(circuit: CircuitSurvey, house: HouseSurvey, catalogue: Catalogue) -> list[_Feed]:
    """The circuit's points that its own cable reaches, by room and kind."""
    counts: dict[tuple[int, str], int] = {}
    for room in house.rooms:
        for point in room.points:
            if point.circuit == circuit.reference and catalogue.kinds[point.kind].cable_ends:
                counts[room.key, point.kind] = counts.get((room.key, point.kind), 0) + 1
    rooms = {room.key: room for room in house.rooms}
    return [_Feed(rooms[room], kind, count) for (room, kind), count in counts.items()]


def _ends(feeds: list[_Feed], catalogue: Catalogue) -> Iterator[PointEnds]:
    for feed in feeds:
        kind = catalogue.kinds[feed.kind]
        yield from [PointEnds(kind.cable_ends, kind.run_metres)] * feed.count


def _clip_for(cable: str, recipe: CircuitRecipe, catalogue: Catalogue) -> str:
    """The clip that goes with a cable: of the circuit kind that usually takes it, else of this kind."""
    if cable == recipe.cable:
        return recipe.clip
    usual = (other.clip for other in catalogue.circuits.values() if other.cable == cable)
    return next(usual, recipe.clip)


def _clips(across: Decimal, down: Decimal, cable: str, catalogue: Catalogue) -> int:
    width = flat_cable_width_mm(catalogue.live_mm2.get(cable))
    return clip_count(across_metres=across, down_metres=down, width_mm=width)


def _shared(item: str, quantity: Decimal, feeds: list[_Feed], step: Decimal) -> list[Material]:
    parts = share_out(quantity, [Decimal(feed.count) for feed in feeds], step)
    return [_material(feed, Stage.FIRST_FIX, item, part) for feed, part in zip(feeds, parts, strict=True) if part]


def _device(circuit: CircuitSurvey, first: _Feed, house: HouseSurvey, catalogue: Catalogue) -> list[Material]:
    """One device in the new consumer unit; without one it is fitted with the circuit's first point."""
    item, board = catalogue.circuits[circuit.kind].device, house.board_room
    if not item:
        return []
    has_unit = any(point.kind == BOARD_POINT for point in board.points)
    feed = _Feed(board, BOARD_POINT, 1) if has_unit else first
    return [_material(feed, Stage.SECOND_FIX, item, Decimal(1))]


def _material(feed: _Feed, stage: Stage, item: str, quantity: Decimal) -> Material:
    return Material(feed.room.area, feed.room.key, stage, point_code(feed.kind), item, quantity)

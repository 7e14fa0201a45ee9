"""Cable, clips and protective devices of a house's circuits, shared out to the points they feed."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.cable import CENTIMETRE, CableRun, PointEnds, average_run, clip_count, flat_cable_width_mm, loop_cable_metres
from jobs.core.circuit_routes import route_circuit
from jobs.core.shares import share_out
from jobs.core.stages import Stage, WallKind, Worded
from jobs.core.takeoff import (
    BOARD_POINT,
    Catalogue,
    CircuitRecipe,
    CircuitSurvey,
    HouseSurvey,
    Material,
    RoomSurvey,
    point_code,
)


class Basis(Worded):
    """Where a circuit's length comes from."""

    MEASURED = "measured", "measured"
    ROUTE = "route", "by its route, with slack and waste"
    AVERAGES = "averages", "by the firm's averages, as a room's place on the grid is not known"


@dataclass(frozen=True)
class CircuitCable:
    """What a circuit takes. `run` is None where a person measured the length."""

    circuit: CircuitSurvey
    cable: str
    metres: Decimal
    basis: Basis
    run: CableRun | None = None
    clip: str = ""
    clips: int = 0


@dataclass(frozen=True)
class _Feed:
    """Points of one kind in one room on a circuit."""

    room: RoomSurvey
    kind: str
    count: int


def list_circuit_cables(house: HouseSurvey, catalogue: Catalogue) -> list[CircuitCable]:
    """Cable and clips of each circuit with points; a measured length is taken as it is, waste included.

    Drops in masonry lie under capping, so clips count along the run and at the board; in stud walls down drops too.
    """
    cables = (_cable(circuit, house, catalogue) for circuit in house.circuits)
    return [cable for cable in cables if cable is not None]


def list_circuit_materials(house: HouseSurvey, catalogue: Catalogue) -> list[Material]:
    """Cable and clips at first fix, shared among the circuit's points; its protective device at second fix."""
    materials: list[Material] = []
    for cable in list_circuit_cables(house, catalogue):
        feeds = _feeds(cable.circuit, house, catalogue)
        materials += _shared(cable.cable, cable.metres, feeds, CENTIMETRE)
        if cable.clip and cable.clips:
            materials += _shared(cable.clip, Decimal(cable.clips), feeds, Decimal(1))
        materials += _device(cable.circuit, feeds[0], house, catalogue)
    return materials


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
    cable = circuit.cable or recipe.cable
    clip = _clip_for(cable, recipe, catalogue)
    if circuit.measured_metres is not None:
        clips = _clips(circuit.measured_metres, Decimal(0), cable, catalogue)
        return CircuitCable(circuit, cable, circuit.measured_metres, Basis.MEASURED, None, clip, clips)
    route = route_circuit(circuit, house, catalogue)
    run = route.run if route else average_run(circuit.kind, _ends(feeds, catalogue), recipe.averages)
    metres = loop_cable_metres(
        run,
        slack_metres=catalogue.slack_metres,
        board_end_metres=catalogue.board_end_metres,
        waste_percent=catalogue.waste_percent,
    )
    down = run.vertical_metres if house.wall == WallKind.STUD else run.board_legs * run.board_leg_metres
    basis = Basis.ROUTE if route else Basis.AVERAGES
    return CircuitCable(circuit, cable, metres, basis, run, clip, _clips(run.floor_metres, down, cable, catalogue))


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

"""Gathering the rows of a file into areas, rooms, circuits and points. Details may stand on any row of their thing."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from jobs.core import stages
from jobs.core.survey_file.cells import same
from jobs.core.survey_file.columns import Column, Of, PointOption
from jobs.core.survey_file.draft import DraftArea, DraftCircuit, DraftPoints, DraftRoom, Fault, SurveyDraft

MOST_POINTS = 20_000
MOST_ROOMS = 500
ROOM_DETAILS = ("room kind", "walls", "floor", "joists", "drops in", "length m", "width m", "height m", "x m", "y m", "room note")
POINT_DETAILS = ("quantity", "label", "point height mm")
CIRCUIT_DETAILS = ("circuit name", "circuit kind", "device", "amps", "cable m")
CALLS_FOR = {
    "area": ("level", "room", *ROOM_DETAILS, "point", *POINT_DETAILS),
    "room": (*ROOM_DETAILS, "point", *POINT_DETAILS),
    "point": POINT_DETAILS,
    "quantity": ("point",),
    "circuit": CIRCUIT_DETAILS,
}
"""Columns that must be filled in a row as soon as one of the others is."""


@dataclass(frozen=True)
class Cell:
    """A filled cell; its value is None when it could not be read."""

    column: Column
    text: str
    value: object


@dataclass
class Line:
    """One row's filled cells by the names of their columns."""

    number: int
    cells: dict[str, Cell] = field(default_factory=dict)

    def value(self, column: str) -> object:
        """What the row tells in this column; None where the cell is empty or could not be read."""
        return self.cells[column].value if column in self.cells else None

    def details(self, of: Of) -> list[Cell]:
        """The cells that tell about a thing, without its name."""
        return [cell for cell in self.cells.values() if cell.column.of is of and not cell.column.is_name]


@dataclass(frozen=True)
class Told:
    """What a row told: the value, as written, and where."""

    value: object
    text: str
    row: int


@dataclass
class Thing:
    """An area, room or circuit as gathered so far: what was told of it, by field of the draft."""

    name: str
    row: int
    place: int
    told: dict[str, Told] = field(default_factory=dict)

    def values(self) -> dict[str, object]:
        """What was told, by field of the draft."""
        return {name: told.value for name, told in self.told.items()}

    def tell(self, cell: Cell, row: int) -> list[Fault]:
        """Note a cell; a fault when an earlier row tells otherwise."""
        known = self.told.setdefault(cell.column.field, Told(cell.value, cell.text, row))
        if cell.value is None or known.value in (None, cell.value):
            return []
        message = (
            f"Row {known.row} says “{known.text}” of the same {cell.column.of}, {self.name}. Make them equal, or "
            "empty one."
        )
        return [Fault(row, cell.column.name, cell.text[:80], message)]


class Gathering:
    """Rows added one by one; each call returns the faults it found."""

    def __init__(self, point_kinds: Sequence[PointOption], usual_walls: str) -> None:
        self._usual_circuit = {kind.code: kind.circuit_kind for kind in point_kinds}
        self._usual_walls = usual_walls
        self._things: dict[Of, dict[str, Thing]] = {Of.AREA: {}, Of.ROOM: {}, Of.CIRCUIT: {}}
        self._points: list[DraftPoints] = []
        self.notes: list[str] = []

    def add(self, line: Line) -> list[Fault]:
        """Take in a row: the things it names, what it tells of them, and its points."""
        faults = _missing_cells(line)
        area, room, circuit = (self._meet(of, line, faults) for of in (Of.AREA, Of.ROOM, Of.CIRCUIT))
        if area and room:
            faults += _hold_area(room, area, line.number)
        if room and line.value("point") and line.value("quantity"):
            told = {cell.column.field: cell.value for cell in line.details(Of.POINT)}
            hangs_on = circuit.name if circuit else ""
            self._points.append(DraftPoints(room=room.name, kind=str(line.value("point")), circuit=hangs_on, **told))
        return faults

    def check_whole(self) -> list[Fault]:
        """Faults that show only when every row is read."""
        faults = [
            Fault(room.row, "room kind", "", f"No row tells the kind of “{room.name}”. Allowed: {_all(stages.RoomKind)}.")
            for room in self._things[Of.ROOM].values()
            if "kind" not in room.told
        ]
        faults += self._settle_circuit_kinds()
        if not any(self._things.values()) and not faults:
            faults.append(Fault(0, "", "", "There are no rows under the heading row."))
        if sum(group.quantity for group in self._points) > MOST_POINTS:
            faults.append(Fault(0, "quantity", "", f"More than {MOST_POINTS:,} points. Survey one house per file."))
        if len(self._things[Of.ROOM]) > MOST_ROOMS:
            faults.append(Fault(0, "room", "", f"More than {MOST_ROOMS} rooms. Survey one house per file."))
        return faults

    def draft(self) -> SurveyDraft:
        """The draft, in the order in which things were met; only when there were no faults."""
        areas, rooms, circuits = (list(self._things[of].values()) for of in (Of.AREA, Of.ROOM, Of.CIRCUIT))
        self._note_levels(areas)
        place_of_area = {area.name: area.place for area in areas}
        rooms.sort(key=lambda room: place_of_area[room.told["area"].value])
        place_of_room = {room.name: place for place, room in enumerate(rooms)}
        return SurveyDraft(
            tuple(DraftArea(area.name, **area.values()) for area in areas),
            tuple(self._draft_room(room) for room in rooms),
            tuple(sorted((_draft_circuit(one) for one in circuits), key=lambda one: same(one.reference))),
            tuple(sorted(self._points, key=lambda group: place_of_room[group.room])),
        )

    def _meet(self, of: Of, line: Line, faults: list[Fault]) -> Thing | None:
        """The thing this row names, with what the row tells of it; None when the row names none."""
        name = line.value(of)
        if name is None:
            return None
        things = self._things[of]
        thing = things.setdefault(same(str(name)), Thing(str(name), line.number, len(things)))
        for cell in line.details(of):
            faults += thing.tell(cell, line.number)
        return thing

    def _settle_circuit_kinds(self) -> list[Fault]:
        faults, taken, usual_of = [], [], self._usual_kinds()
        for circuit in self._things[Of.CIRCUIT].values():
            if "kind" in circuit.told:
                continue
            usual = usual_of.get(circuit.name, "")
            if usual:
                circuit.told["kind"] = Told(usual, usual, circuit.row)
                taken.append(f"{circuit.name} {stages.CircuitKind(usual).label.lower()}")
            else:
                message = f"No row tells the kind of circuit {circuit.name}. Allowed: {_all(stages.CircuitKind)}."
                faults.append(Fault(circuit.row, "circuit kind", "", message))
        if taken:
            self.notes.append(f"Circuits without a kind took that of their first point: {', '.join(taken)}.")
        return faults

    def _usual_kinds(self) -> dict[str, str]:
        """The kind of circuit that the first point of each circuit usually hangs on."""
        usual: dict[str, str] = {}
        for group in self._points:
            if self._usual_circuit[group.kind]:
                usual.setdefault(group.circuit, self._usual_circuit[group.kind])
        return usual

    def _note_levels(self, areas: list[Thing]) -> None:
        without = [area.name for area in areas if "level" not in area.told]
        if without:
            self.notes.append(f"No level given, taken as ground floor: {', '.join(without)}.")

    def _draft_room(self, room: Thing) -> DraftRoom:
        usual = {"wall_kind": self._usual_walls, "floor_kind": stages.FloorKind.TIMBER.value}
        return DraftRoom(name=room.name, **(usual | room.values()))


def _draft_circuit(circuit: Thing) -> DraftCircuit:
    usual_name = stages.CircuitKind(str(circuit.told["kind"].value)).label
    return DraftCircuit(reference=circuit.name, **({"name": usual_name} | circuit.values()))


def _hold_area(room: Thing, area: Thing, row: int) -> list[Fault]:
    known = room.told.setdefault("area", Told(area.name, area.name, row))
    if known.value == area.name:
        return []
    message = (
        f"Row {known.row} has “{room.name}” in “{known.value}”. If they are two rooms, give each a name of its own, such "
        f"as “{room.name}, {area.name}”."
    )
    return [Fault(row, "area", area.name, message)]


def _missing_cells(line: Line) -> list[Fault]:
    faults = [
        _empty(line, needed, next(column for column in others if column in line.cells))
        for needed, others in CALLS_FOR.items()
        if needed not in line.cells and any(column in line.cells for column in others)
    ]
    if "circuit" in line.cells and "area" in line.cells and not {"point", *POINT_DETAILS} & line.cells.keys():
        faults.append(_empty(line, "point", "circuit"))
    return faults


def _empty(line: Line, needed: str, because: str) -> Fault:
    return Fault(line.number, needed, "", f"Empty, although the row has “{because}”. Fill it in, or empty that cell.")


def _all(kinds: type[stages.Worded]) -> str:
    return ", ".join(kind.label for kind in kinds)

"""The floors of a job as its sketch page shows them, with the metres of every circuit."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from itertools import groupby

from jobs.core.catalogue import Catalogue
from jobs.core.circuit_routes import list_stops
from jobs.core.circuit_takeoff import CircuitCable, list_circuit_cables
from jobs.core.floor_sketch import Floor, sketch_floors
from jobs.core.takeoff import HouseSurvey
from jobs.models import Area, Circuit, Item, Job, LengthCorrection
from jobs.queries.takeoff import list_branches, load_house, load_job_catalogue


@dataclass(frozen=True)
class NamedFloor:
    name: str
    floor: Floor


@dataclass(frozen=True)
class BranchLine:
    """A cable that branches off a circuit: the metres that count, and those worked out."""

    item: Item
    metres: Decimal
    worked_out_metres: Decimal
    is_corrected: bool


@dataclass(frozen=True)
class CircuitRow:
    """A circuit in words: its way, its cable and metres, and what a person put right, the latest last."""

    circuit: Circuit
    line: CircuitCable
    cable: Item
    way: str
    branches: tuple[tuple[Item, Decimal], ...]
    corrections: tuple[LengthCorrection, ...]

    @cached_property
    def corrected_cables(self) -> set[int | None]:
        """Item pks of the branch cables whose length a person put right; None stands for its own cable."""
        latest = {one.branch_cable_id: one.cable_metres for one in self.corrections}
        return {cable for cable, metres in latest.items() if metres is not None}

    @property
    def is_corrected(self) -> bool:
        return None in self.corrected_cables

    @property
    def branch_lines(self) -> list[BranchLine]:
        return [
            BranchLine(
                item, metres, sum((one.worked_out[0] for one in self.line.branches if one.cable == item.code), Decimal(0)),
                item.pk in self.corrected_cables,
            )
            for item, metres in self.branches
        ]

    @property
    def way_metres(self) -> Decimal:
        return Decimal(self.line.route.order.length) / 100

    @property
    def shortest_metres(self) -> Decimal:
        """What no order of its points can be shorter than."""
        return Decimal(self.line.route.order.bound) / 100

    @property
    def crossings(self) -> int | None:
        return self.line.route.crossings if self.line.route else None


@dataclass(frozen=True)
class SketchPage:
    """`unplaced`: rooms without a place on the grid, for which the firm's averages stand."""

    floors: tuple[NamedFloor, ...]
    rows: tuple[CircuitRow, ...]
    unplaced: tuple[str, ...]
    has_board: bool
    shown: CircuitRow | None
    level: int | None

    @property
    def shown_floors(self) -> list[NamedFloor]:
        return [one for one in self.floors if self.level in (None, one.floor.level)]

    @property
    def totals(self) -> list[tuple[Item, Decimal]]:
        """Metres of every cable of the circuits, waste included."""
        sums: dict[Item, Decimal] = {}
        for row in self.rows:
            for item, metres in ((row.cable, row.line.metres), *row.branches):
                sums[item] = sums.get(item, Decimal(0)) + metres
        return sorted(sums.items(), key=lambda pair: pair[0].name)


def load_sketch(job: Job, *, reference: str = "", level: int | None = None) -> SketchPage:
    """The sketch with the route of circuit `reference` (unknown or blank: all) on storey `level` (None: all)."""
    house, catalogue = load_house(job), load_job_catalogue(job)
    lines = list_circuit_cables(house, catalogue)
    rows = _rows(job, lines, house, catalogue)
    shown = next((row for row in rows if row.circuit.reference == reference), None)
    floors = sketch_floors(house, catalogue, lines, shown=shown.circuit.reference if shown else "")
    names = _names(job)
    board = house.known_board_room
    return SketchPage(
        tuple(NamedFloor(names[floor.level], floor) for floor in floors), tuple(rows),
        tuple(room.name for room in house.rooms if room.box is None), bool(board and board.box), shown,
        level if level in [floor.level for floor in floors] else None,
    )


def _rows(job: Job, lines: Iterable[CircuitCable], house: HouseSurvey, catalogue: Catalogue) -> list[CircuitRow]:
    items = {item.code: item for item in Item.objects.filter(firm_id=job.firm_id)}
    circuits = {row.reference: row for row in Circuit.objects.filter(job=job)}
    corrections: dict[str, list[LengthCorrection]] = {}
    for row in job.length_corrections.select_related("made_by__person", "branch_cable").order_by("pk"):
        corrections.setdefault(row.circuit_reference, []).append(row)
    return [
        CircuitRow(
            circuits[line.circuit.reference], line, items[line.cable], _way(line, house, catalogue),
            list_branches(line, items), tuple(corrections.get(line.circuit.reference, ())),
        )
        for line in lines
    ]


def _way(line: CircuitCable, house: HouseSurvey, catalogue: Catalogue) -> str:
    """“board, Hall (2), Kitchen (4)”; a ring ends at the board."""
    if line.route is None:
        return ""
    stops = list_stops(line.circuit, house, catalogue)
    rooms = [stops[number][0].name for number in line.route.stops]
    parts = [(name, len(list(same))) for name, same in groupby(rooms)]
    words = ["board", *(f"{name} ({count})" if count > 1 else name for name, count in parts)]
    return ", ".join([*words, "board"] if line.circuit.kind == "ring" else words)


def _names(job: Job) -> dict[int, str]:
    """The areas of each storey, together."""
    names: dict[int, list[str]] = {}
    for area in Area.objects.filter(job=job):
        names.setdefault(area.level, []).append(area.name)
    return {level: ", ".join(own) for level, own in names.items()}

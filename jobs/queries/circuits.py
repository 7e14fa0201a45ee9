"""The circuit schedule of a job: each surveyed circuit with its design, its checks, and the house's supply and demand."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property

from jobs.core.electrics.assumed import (
    Assembled,
    AssembledSupply,
    Surveyed,
    Told,
    ToldPart,
    WhatIf,
    assemble,
    assemble_supply,
    try_on,
)
from jobs.core.electrics.board import Board, check_spare_ways, fitting_unit, in_order, lay_out, needed_ways
from jobs.core.electrics.cables import Method
from jobs.core.electrics.checks import Check, Outcome, worst_of
from jobs.core.electrics.circuit import Circuit as Judged
from jobs.core.electrics.circuit import Curve, Earthing, RcdType, Supply
from jobs.core.electrics.circuit_checks import LongestRun, Suggestion, judge_circuit, longest_run, suggest_cable
from jobs.core.electrics.demand import Demand, DemandLine, LoadKind, add_up, check_demand, design_current
from jobs.core.electrics.protection import Bond, check_bond
from jobs.core.electrics.readings import Unit, read
from jobs.core.electrics.supply_tests import SupplyMeasure, judge_fault_current, judge_ze
from jobs.core.stages import CircuitKind, RoomKind, WallKind
from jobs.models import Circuit, CircuitDesign, HouseSupply, Item, Job, Point
from jobs.queries.circuit_runs import CircuitRun, list_circuit_runs
from jobs.queries.supply_readings import SupplySheet, find_measured_ze, load_supply_standing, supply_sheet

NOT_FLAT = ("armoured", "flex", "swa")
"""Words in an item's code that say that the table of flat twin and earth is not its."""
NO_LAMP = ("switch", "fan", "shaver")


@dataclass(frozen=True)
class CircuitRow:
    """`run` None: no point hangs on it. `way` None: it takes no way of the board."""

    circuit: Circuit
    run: CircuitRun | None
    surveyed: Surveyed
    told: Told
    made: Assembled
    supply: Supply
    way: int | None

    @property
    def judged(self) -> Judged:
        return self.made.circuit

    @property
    def is_bonding(self) -> bool:
        return self.circuit.kind == CircuitKind.BONDING

    @cached_property
    def checks(self) -> list[Check]:
        return _check_bonding(self) if self.is_bonding else judge_circuit(self.judged, self.supply)

    @cached_property
    def outcome(self) -> Outcome:
        return worst_of(self.checks)

    @property
    def to_see(self) -> list[Check]:
        """Checks that do not pass."""
        return [check for check in self.checks if check.outcome not in (Outcome.PASS, Outcome.NOT_NEEDED)]

    @property
    def design_line(self) -> DemandLine | None:
        return design_current(self.made.load) if self.made.load else None

    @cached_property
    def suggestion(self) -> Suggestion | None:
        return None if self.is_bonding else suggest_cable(self.judged, self.supply)

    @cached_property
    def longest(self) -> LongestRun | None:
        return None if self.is_bonding else longest_run(self.judged, self.supply)


@dataclass(frozen=True)
class Schedule:
    """`supply_row` None: nobody has said anything of the supply. `supply_sheet`: what was read at the origin."""

    job: Job
    supply_row: HouseSupply | None
    supply_made: AssembledSupply
    supply_sheet: SupplySheet
    rows: tuple[CircuitRow, ...]
    board: Board
    board_assumed: str

    @property
    def supply(self) -> Supply:
        return self.supply_made.supply

    @cached_property
    def demand(self) -> Demand:
        return add_up(row.made.load for row in self.rows if row.made.load)

    @cached_property
    def demand_check(self) -> Check:
        return check_demand(self.demand, self.supply.fuse_amps)

    @cached_property
    def supply_checks(self) -> list[Check]:
        """Of demand and spare ways; then of what was read at the origin, else of what was told."""
        on_board = sum(row.way is not None for row in self.rows)
        found = [self.demand_check, check_spare_ways(on_board, len(self.board.ways))]
        read_measures = {line.field.measure for line in self.supply_sheet.lines if line.stands}
        told = [check for measure, check in self._told_checks() if measure not in read_measures]
        return [*found, *self.supply_sheet.checks, *told]

    def _told_checks(self) -> Iterator[tuple[SupplyMeasure, Check]]:
        row = self.supply_row
        if row and row.ze_ohms is not None:
            check = judge_ze(read(str(row.ze_ohms), Unit.OHM), self.supply.earthing)
            yield SupplyMeasure.ZE, replace(check, name="Ze at the origin, as told")
        if row and row.fault_kiloamps is not None:
            check = judge_fault_current(read(str(row.fault_kiloamps), Unit.KILOAMP))
            yield SupplyMeasure.FAULT, replace(check, name="Greatest fault current at the origin, as told")

    @property
    def counts(self) -> list[tuple[Outcome, int]]:
        """How many circuits come out how, those to act on first."""
        order = (Outcome.FAIL, Outcome.UNKNOWN, Outcome.LOOK, Outcome.PASS)
        found = [(outcome, sum(row.outcome == outcome for row in self.rows)) for outcome in order]
        return [(outcome, count) for outcome, count in found if count]

    @property
    def unloaded(self) -> list[CircuitRow]:
        """Circuits of unknown load, which the demand leaves out."""
        return [row for row in self.rows if row.made.load is None and not row.is_bonding]


def load_schedule(job: Job) -> Schedule:
    """Every circuit of the survey by way, bonding last; queries do not grow with the circuits."""
    supply_row, standing = HouseSupply.objects.filter(job=job).first(), load_supply_standing(job)
    supply = _supply(supply_row, find_measured_ze(standing))
    circuits = list(Circuit.objects.filter(job=job, firm_id=job.firm_id).select_related("cable"))
    runs = {run.circuit.reference: run for run in list_circuit_runs(job)}
    told, places = load_told(job), _Places(job)
    rows = [_row(one, runs.get(one.reference), places, told.get(one.reference, Told()), supply.supply) for one in circuits]
    board, assumed = _board(supply_row, [row.judged for row in rows])
    ways = {way.circuit.reference: way.number for way in board.ways if way.circuit}
    rows = [replace(row, way=ways.get(row.circuit.reference)) for row in rows]
    rows.sort(key=lambda row: (row.way or len(ways) + 1, row.circuit.reference))
    sheet = supply_sheet(job, supply.supply.earthing, standing)
    return Schedule(job, supply_row, supply, sheet, tuple(rows), board, assumed)


def try_on_row(row: CircuitRow, given: WhatIf) -> CircuitRow:
    """The circuit with something else tried; nothing is stored."""
    return replace(row, made=try_on(row.surveyed, row.told, given))


def _row(circuit: Circuit, run: CircuitRun | None, places: "_Places", told: Told, supply: Supply) -> CircuitRow:
    surveyed = _surveyed(circuit, run, places)
    return CircuitRow(circuit, run, surveyed, told, assemble(surveyed, told), supply, None)


def find_row(schedule: Schedule, circuit: Circuit) -> CircuitRow:
    return next(row for row in schedule.rows if row.circuit.pk == circuit.pk)


def find_design(circuit: Circuit) -> CircuitDesign | None:
    return CircuitDesign.objects.filter(job_id=circuit.job_id, circuit_reference=circuit.reference).first()


def list_flat_cables(firm_pk: int) -> list[Item]:
    """The firm's flat twin and earth, one of each size, thinnest first."""
    items = Item.objects.filter(firm_id=firm_pk, unit=Item.Unit.METRE, cores=2, stands_in_for=None).order_by("live_mm2", "pk")
    return list({item.live_mm2: item for item in items if flat_size(item)}.values())


def flat_size(item: Item | None) -> Decimal | None:
    """mm² of a cable that the table of flat twin and earth is for; None of any other."""
    if item is None or item.cores not in (2, 3) or any(word in item.code for word in NOT_FLAT):
        return None
    return item.live_mm2


def load_told(job: Job) -> dict[str, Told]:
    """What the designer said of each circuit, by its reference."""
    designs = CircuitDesign.objects.filter(job=job).prefetch_related("parts")
    return {design.circuit_reference: _told(design) for design in designs}


def _told(row: CircuitDesign) -> Told:
    return Told(
        curve=Curve(row.curve) if row.curve else None, rcd_milliamps=row.rcd_milliamps,
        rcd_type=RcdType(row.rcd_type) if row.rcd_type else None,
        load_kind=LoadKind(row.load_kind) if row.load_kind else None, load_watts=row.load_watts,
        has_cooker_socket=row.has_cooker_socket, spurs=row.spurs, longest_spur_metres=row.longest_spur_metres,
        floor_area_m2=row.floor_area_m2, is_deep_or_covered=row.is_deep_or_covered,
        parts=tuple(
            ToldPart(part.metres, Method(part.method), part.grouped, part.is_side_by_side, part.surrounded_mm, part.ambient_c)
            for part in row.parts.all()
        ),
    )


def _supply(row: HouseSupply | None, measured_ze_ohms: Decimal | None) -> AssembledSupply:
    if row is None:
        return assemble_supply(None, None, None, measured_ze_ohms)
    earthing = Earthing(row.earthing) if row.earthing else None
    return assemble_supply(earthing, row.ze_ohms, row.fuse_amps, measured_ze_ohms)


def _board(row: HouseSupply | None, circuits: list[Judged]) -> tuple[Board, str]:
    count = len(in_order(circuits))
    ways, has_surge = (row.board_ways, row.has_surge_device) if row else (None, True)
    if ways:
        return lay_out(circuits, ways=ways, has_surge_device=has_surge), ""
    wanted = fitting_unit(count) or needed_ways(count)
    words = f"Consumer unit: the smallest usual one with spare ways, {wanted} ways, is assumed; give the real one."
    return lay_out(circuits, ways=wanted, has_surge_device=has_surge), words


def _check_bonding(row: CircuitRow) -> list[Check]:
    size = row.run.live_mm2 if row.run else row.circuit.cable.live_mm2 if row.circuit.cable else None
    return [check_bond(Bond.MAIN, size)] if size is not None else []


class _Places:
    """Where the points of each circuit are, in one query."""

    def __init__(self, job: Job) -> None:
        points = Point.objects.filter(job=job, is_dropped=False).select_related("room__area", "kind").order_by("pk")
        self.by_circuit: dict[int, list[Point]] = {}
        for point in points:
            self.by_circuit.setdefault(point.circuit_id, []).append(point)
        self.highest = max((point.room.area.level for point in points if point.room.kind != RoomKind.LOFT), default=0)

    def of(self, circuit: Circuit) -> list[Point]:
        return self.by_circuit.get(circuit.pk, [])

    def is_under_roof(self, points: Iterable[Point], run: CircuitRun | None, kind: CircuitKind) -> bool:
        """Above the ceiling of the highest storey, or in the loft."""
        is_overhead = run.lay.is_overhead if run and run.lay else kind in (CircuitKind.LIGHTING, CircuitKind.ALARMS)
        rooms = [point.room for point in points]
        is_highest = any(room.area.level >= self.highest and room.kind != RoomKind.OUTSIDE for room in rooms)
        return is_overhead and is_highest


def _surveyed(circuit: Circuit, run: CircuitRun | None, places: _Places) -> Surveyed:
    points, kind = places.of(circuit), CircuitKind(circuit.kind)
    rooms = list({point.room_id: point.room for point in points}.values())
    codes = [point.kind.code for point in points]
    walls = {room.wall_kind for room in rooms}
    return Surveyed(
        circuit.reference, circuit.name, kind, flat_size(run.cable if run else circuit.cable), circuit.device,
        circuit.device_rating_amps, run.cable_metres if run else Decimal(0),
        wall_metres=run.lay.wall_metres if run and run.lay else None,
        wall=WallKind.STUD if walls & {WallKind.STUD, WallKind.LATH} else WallKind.MASONRY,
        is_under_roof=places.is_under_roof(points, run, kind), points=run.point_count if run else 0,
        lamps=sum(point.kind.circuit_kind == CircuitKind.LIGHTING and _has_lamp(point.kind.code) for point in points),
        has_sockets=any("socket" in code for code in codes),
        is_in_bathroom=any(room.kind == RoomKind.BATHROOM for room in rooms), floor_area_m2=_area(rooms),
    )


def _has_lamp(code: str) -> bool:
    return not any(word in code for word in NO_LAMP)


def _area(rooms: list) -> Decimal | None:
    """Of all rooms with its points; None where a room is not measured."""
    if not rooms or any(room.length_metres is None or room.width_metres is None for room in rooms):
        return None
    return sum((room.length_metres * room.width_metres for room in rooms), Decimal(0))

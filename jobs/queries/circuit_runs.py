"""Each circuit of a job with its cable, its length and how it lies, for whoever checks or draws it."""

from dataclasses import dataclass
from decimal import Decimal

from jobs.core.cable_ways import STOREY_METRES
from jobs.core.circuit_takeoff import Basis, CircuitCable, list_circuit_cables
from jobs.core.stages import CircuitKind
from jobs.models import Circuit, Item, Job
from jobs.queries.takeoff import load_house, load_job_catalogue


@dataclass(frozen=True)
class Lay:
    """How a routed circuit's cable lies, in metres: along joists, through them, where their way is not known, in walls."""

    along_metres: Decimal
    across_metres: Decimal
    unknown_metres: Decimal
    wall_metres: Decimal
    crossings: int | None
    is_overhead: bool


@dataclass(frozen=True)
class CircuitRun:
    """A circuit with points. `cable_metres` is what counts, `basis` says where it comes from; `lay` None = not routed."""

    circuit: Circuit
    kind: CircuitKind
    cable: Item
    cable_metres: Decimal
    basis: Basis
    point_count: int
    lay: Lay | None

    @property
    def live_mm2(self) -> Decimal | None:
        return self.cable.live_mm2


def list_circuit_runs(job: Job) -> list[CircuitRun]:
    """Every circuit of a job that has points on its own cable, by reference."""
    house, catalogue = load_house(job), load_job_catalogue(job)
    items = {item.code: item for item in Item.objects.filter(firm_id=job.firm_id)}
    circuits = {row.reference: row for row in Circuit.objects.filter(job=job)}
    counts: dict[str, int] = {}
    for room in house.rooms:
        for point in room.points:
            counts[point.circuit] = counts.get(point.circuit, 0) + 1
    return [
        CircuitRun(
            circuits[line.circuit.reference], line.circuit.kind, items[line.cable], line.metres, line.basis,
            counts[line.circuit.reference], _lay(line),
        )
        for line in list_circuit_cables(house, catalogue)
    ]


def _lay(line: CircuitCable) -> Lay | None:
    route = line.route
    if route is None:
        return None
    along, across, unknown = (
        sum((getattr(way, name) for way in route.ways), Decimal(0))
        for name in ("along_metres", "across_metres", "unknown_metres")
    )
    stops = route.places[1:]
    is_overhead = any(stop.at > stop.level * STOREY_METRES for stop in stops)
    return Lay(along, across, unknown, route.run.vertical_metres, route.crossings, is_overhead)

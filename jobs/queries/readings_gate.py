"""Readings that hold something: dead tests before cover-up, the tests at the end before handing over."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field
from decimal import Decimal

from jobs.core.electrics import circuit as core
from jobs.core.electrics.cables import find_cable
from jobs.core.electrics.judging import what_holds
from jobs.core.electrics.readings import State
from jobs.core.electrics.under_test import Measure, UnderTest, WhenTested
from jobs.core.stages import CircuitKind
from jobs.models import Circuit, Job, Point, Reading, Room, RoomTask
from jobs.queries.circuits import flat_size, load_schedule
from jobs.queries.readings import Standing, judge_rows, load_sheets, load_standing
from jobs.queries.ring_sockets import find_highest

DEAD_TESTS_LINE = "check:F9"
"""The line of first fix that stands for dead tests: while it is asked, so are the readings."""
ANY_SUPPLY = core.Supply(Decimal("0.35"), Decimal(100))
"""Dead tests at first fix ask nothing of supply, device or length; judging them needs one all the same."""


@dataclass(frozen=True)
class Untested:
    """A circuit with points in a room, and why its dead tests hold the room's cover-up."""

    room: Room
    circuit: Circuit
    text: str


def list_untested(job_pks: Collection[int]) -> list[Untested]:
    """Circuits whose dead tests are missing or out, by each room that has points of theirs and asks for dead tests."""
    places = _places(job_pks)
    if not places:
        return []
    standing = load_standing({point.job_id for point in places}, WhenTested.FIRST_FIX)
    by_circuit = _by_circuit(standing)
    holding = {point.circuit: _hold(point.circuit, by_circuit[point.circuit_id]) for point in places}
    return [Untested(point.room, point.circuit, holding[point.circuit]) for point in places if holding[point.circuit]]


def list_room_untested(room: Room) -> list[Untested]:
    """Circuits with points in the room that its cover-up waits for."""
    return [row for row in list_untested({room.job_id}) if row.room.pk == room.pk]


def list_end_holds(job: Job) -> list[str]:
    """Why readings hold the handing over: of the supply, then of each circuit; none where the job has no circuits."""
    schedule = load_schedule(job)
    sheets = load_sheets(job, WhenTested.END, schedule)
    found = [("Supply", schedule.supply_sheet.holds)] if sheets else []
    found += [(sheet.circuit.reference, sheet.holds) for sheet in sheets]
    return [f"{of_what}: {_first(holds)}" for of_what, holds in found if holds]


def _places(job_pks: Collection[int]) -> list[Point]:
    """A point for each circuit of each room that asks for dead tests."""
    asked = RoomTask.objects.filter(
        room__job_id__in=job_pks, code=DEAD_TESTS_LINE, is_withdrawn=False, is_hold_point=True, not_needed=""
    )
    rows = Point.objects.filter(room__in=asked.values("room"), is_dropped=False).exclude(circuit=None)
    rows = rows.select_related("room__area", "circuit__cable").order_by(
        "room__area__position", "room__position", "room_id", "circuit__reference", "pk"
    )
    return list({(row.room_id, row.circuit_id): row for row in rows}.values())


@dataclass
class _Rows:
    """What stands of a circuit: its own measures, and what was read at its sockets."""

    own: dict[Measure, Reading] = field(default_factory=dict)
    sockets: list[Reading] = field(default_factory=list)

    def measures(self) -> dict[Measure, Reading]:
        """R1 + R2 of a ring is the highest of its sockets, unless somebody wrote one."""
        own = {measure: row for measure, row in self.own.items() if row.state != State.BLANK}
        highest = find_highest(self.sockets)
        return ({Measure.R1_R2: highest} if highest else {}) | own

    @property
    def open_sockets(self) -> list[str]:
        count = sum(row.state == State.OVER for row in self.sockets)
        return [f"no continuity at {count} of its sockets, cross-connected."] if count else []


def _by_circuit(standing: Standing) -> dict[int, _Rows]:
    found: dict[int, _Rows] = defaultdict(_Rows)
    for (circuit, measure, point), rows in standing.items():
        if point is None:
            found[circuit].own[Measure(measure)] = rows[-1]
        else:
            found[circuit].sockets.append(rows[-1])
    return found


def _hold(circuit: Circuit, rows: _Rows) -> str:
    if not rows.own and not rows.sockets:
        return f"no dead-test readings of {circuit.reference}"
    facts = core.Circuit(
        circuit.reference, circuit.name, CircuitKind(circuit.kind), find_cable(flat_size(circuit.cable)), (), None
    )
    holds = what_holds(judge_rows(rows.measures(), UnderTest(facts, ANY_SUPPLY), WhenTested.FIRST_FIX)) + rows.open_sockets
    return f"dead tests of {circuit.reference}: {_first(holds)}" if holds else ""


def _first(holds: list[str]) -> str:
    return holds[0].rstrip(".") + (f", and {len(holds) - 1} more" if len(holds) > 1 else "")

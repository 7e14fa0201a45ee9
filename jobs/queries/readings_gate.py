"""Readings that hold something: dead tests before cover-up, the tests at the end before power and handing over."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.electrics import circuit as core
from jobs.core.electrics.cables import find_cable
from jobs.core.electrics.judging import what_holds
from jobs.core.electrics.under_test import Measure, UnderTest, WhenTested
from jobs.core.stages import CircuitKind
from jobs.models import Circuit, Job, Point, Reading, Room, RoomTask
from jobs.queries.circuits import flat_size
from jobs.queries.readings import Sheet, Standing, judge_rows, load_sheets, load_standing

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
    """Why the readings at the end hold the handing over, a sentence for each circuit; none where the job has no circuits."""
    return [f"{sheet.circuit.reference}: {_first(sheet.holds)}" for sheet in load_sheets(job, WhenTested.END) if sheet.holds]


def list_power_holds(sheets: Iterable[Sheet]) -> list[str]:
    """Why circuits must not be energised yet, a sentence for each circuit."""
    return [f"{sheet.circuit.reference}: {_first(sheet.holds_power)}" for sheet in sheets if sheet.holds_power]


def list_room_power_holds(room: Room) -> list[str]:
    """The same for circuits with points in the room."""
    own = set(room.points.filter(is_dropped=False).values_list("circuit_id", flat=True))
    return list_power_holds(sheet for sheet in load_sheets(room.job, WhenTested.END) if sheet.circuit.pk in own)


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


def _by_circuit(standing: Standing) -> dict[int, dict[Measure, Reading]]:
    found: dict[int, dict[Measure, Reading]] = defaultdict(dict)
    for (circuit, measure), rows in standing.items():
        found[circuit][Measure(measure)] = rows[-1]
    return found


def _hold(circuit: Circuit, rows: dict[Measure, Reading]) -> str:
    if not rows:
        return f"no dead-test readings of {circuit.reference}"
    facts = core.Circuit(
        circuit.reference, circuit.name, CircuitKind(circuit.kind), find_cable(flat_size(circuit.cable)), (), None
    )
    holds = what_holds(judge_rows(rows, UnderTest(facts, ANY_SUPPLY), WhenTested.FIRST_FIX))
    return f"dead tests of {circuit.reference}: {_first(holds)}" if holds else ""


def _first(holds: list[str]) -> str:
    return holds[0].rstrip(".") + (f", and {len(holds) - 1} more" if len(holds) > 1 else "")

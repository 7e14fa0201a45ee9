"""What was read on a job's circuits: what stands, what stood before, what it says, and what to look for."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from django.db.models import Q, QuerySet

from jobs.core.ages import is_under_18
from jobs.core.electrics import readings as core
from jobs.core.electrics.checks import Outcome, worst_of
from jobs.core.electrics.judging import RING_ENDS, Judged, judge_readings, what_holds
from jobs.core.electrics.ring import RingEnds
from jobs.core.electrics.sockets import check_against_highest
from jobs.core.electrics.under_test import LIVE_TESTS, UNITS, Measure, UnderTest, WhenTested, fields_for
from jobs.models import Circuit, Instrument, Job, Person, Point, Reading, User
from jobs.queries.circuits import CircuitRow, Schedule, load_schedule
from jobs.queries.firm_calendar import local_today
from jobs.queries.reading_lines import Line, as_core, line_of
from jobs.queries.ring_sockets import RingSockets, Socket, load_sockets, ring_sockets

INSULATION = (Measure.IR_LIVE, Measure.IR_EARTH)
Rows = dict[Measure, list[Reading]]
Standing = dict[tuple[int, str, int | None], list[Reading]]
"""(circuit, measure, point or None) → its rows, the one that stands last."""


@dataclass(frozen=True)
class Sheet:
    """A circuit at one time of testing."""

    circuit: Circuit
    when: WhenTested
    tested: UnderTest
    lines: tuple[Line, ...]
    ring: RingSockets | None = None

    @property
    def entered(self) -> int:
        return sum(line.stands is not None for line in self.lines)

    @property
    def outcome(self) -> Outcome:
        found = {worst_of(check for line in self.lines for check in line.judged.checks), *self._of_sockets}
        order = (Outcome.FAIL, Outcome.UNKNOWN, Outcome.LOOK)
        return next((outcome for outcome in order if outcome in found), Outcome.PASS)

    @cached_property
    def holds(self) -> list[str]:
        """What is missing or out, a sentence each."""
        return what_holds(line.judged for line in self.lines) + self._socket_holds

    @cached_property
    def holds_power(self) -> list[str]:
        """Dead tests that are missing or out: while any is, the circuit must not be energised."""
        return what_holds(line.judged for line in self.lines if line.field.measure not in LIVE_TESTS) + self._socket_holds

    @property
    def _socket_holds(self) -> list[str]:
        return self.ring.holds if self.ring else []

    @property
    def _of_sockets(self) -> list[Outcome]:
        return self.ring.outcomes if self.ring else []


def load_sheets(job: Job, when: WhenTested, schedule: Schedule | None = None) -> list[Sheet]:
    """Every circuit that has points or readings, in the order of the board."""
    standing, shown = load_standing([job.pk], when), set(_tested_circuits(job).values_list("pk", flat=True))
    rows = [row for row in (schedule or load_schedule(job)).rows if row.circuit.pk in shown]
    sockets = load_sockets([job.pk]) if any(row.judged.is_ring for row in rows) else {}
    return [_sheet(row, when, standing, sockets.get(row.circuit.pk, []), job) for row in rows]


def load_standing(job_pks: Collection[int], when: WhenTested) -> Standing:
    found: Standing = defaultdict(list)
    rows = Reading.objects.filter(job_id__in=job_pks, when_tested=when).order_by("tested_at", "op_id", "pk")
    for row in rows.select_related("instrument", "tested_by", "entered_by__person"):
        found[row.circuit_id, row.measure, row.point_id].append(row)
    return found


def find_standing(circuit: Circuit, when: WhenTested, measure: str, point: Point | None = None) -> Reading | None:
    rows = Reading.objects.filter(circuit=circuit, when_tested=when, measure=measure, point=point)
    return rows.order_by("tested_at", "op_id", "pk").last()


def with_volts(tested: UnderTest, rows: Iterable[Reading]) -> UnderTest:
    """The insulation was tested at the voltage that was said last."""
    volts = [row.test_volts for row in rows if row.measure in INSULATION and row.test_volts]
    return UnderTest(tested.circuit, tested.supply, volts[-1]) if volts else tested


def judge_rows(rows: Mapping[Measure, Reading], tested: UnderTest, when: WhenTested) -> list[Judged]:
    return judge_readings({measure: as_core(row, UNITS[measure]) for measure, row in rows.items()}, tested, when)


def list_instruments(firm_pk: int) -> QuerySet[Instrument]:
    return Instrument.objects.filter(firm_id=firm_pk)


def list_testers(firm_pk: int) -> QuerySet[Person]:
    """People who may test."""
    return Person.objects.filter(firm_id=firm_pk, may_test=True, is_active=True)


def why_not_testing(user: User, when: WhenTested, today: date) -> str:
    """Why somebody’s phone takes no readings of such tests, or nothing."""
    person = user.person
    if person is None:
        return "Readings belong to somebody on the crew who may test. In the office they are typed on the job’s readings page."
    if when == WhenTested.END and is_under_18(person.born_on, today):
        return "Nobody under 18 tests live. Somebody who may test enters these."
    return "" if person.may_test else "Only somebody who may test enters readings; the office says who may."


def find_last_instrument(user: User, on: date) -> Instrument | None:
    """What the person measured with last on that day."""
    row = Reading.objects.filter(entered_by=user).exclude(instrument=None).select_related("instrument").order_by("pk").last()
    return row.instrument if row and local_today(user.firm, row.entered_at) == on else None


def _tested_circuits(job: Job) -> QuerySet[Circuit]:
    return Circuit.objects.filter(Q(points__is_dropped=False) | Q(readings__isnull=False), job=job).distinct()


def _sheet(row: CircuitRow, when: WhenTested, standing: Standing, sockets: list[Socket], job: Job) -> Sheet:
    pk, tested = row.circuit.pk, UnderTest(row.judged, row.supply)
    own = {Measure(key[1]): rows for key, rows in standing.items() if key[0] == pk and key[2] is None}
    tested = with_volts(tested, sorted((rows[-1] for rows in own.values()), key=lambda one: (one.tested_at, one.pk)))
    ring = _ring(tested, own, standing, sockets) if sockets else None
    taken = _from_sockets(own, ring)
    judged = {one.measure: one for one in judge_rows({key: rows[-1] for key, rows in (own | taken).items()}, tested, when)}
    lines = [
        line_of(field, tested.expected_ohms(field.measure), judged[field.measure], (own | taken).get(field.measure, []), job)
        for field in fields_for(tested, when)
    ]
    return Sheet(row.circuit, when, tested, tuple(_beside_sockets(line, taken, ring) for line in lines), ring)


def _ring(tested: UnderTest, own: Rows, standing: Standing, sockets: list[Socket]) -> RingSockets:
    """Beside the ring's ends as measured, else as its length gives them."""
    found = [as_core(own[one][-1], UNITS[one]) for one in RING_ENDS if one in own]
    amounts = [one.amount for one in found if one.state == core.State.VALUE]
    measured = RingEnds(*amounts) if len(amounts) == len(RING_ENDS) else None
    points = {socket.point.pk for socket in sockets}
    rows = {(point, measure): rows for (_, measure, point), rows in standing.items() if point in points}
    return ring_sockets(sockets, rows, measured or tested.ends, "by its ends" if measured else "by its length")


def _from_sockets(own: Rows, ring: RingSockets | None) -> Rows:
    """R1 + R2 of a ring is the highest of its sockets, unless somebody wrote one."""
    is_written = Measure.R1_R2 in own and own[Measure.R1_R2][-1].state != core.State.BLANK
    found = ring.highest if ring and not is_written else None
    return {Measure.R1_R2: [*own.get(Measure.R1_R2, []), found[1]]} if found else {}


def _beside_sockets(line: Line, taken: Rows, ring: RingSockets | None) -> Line:
    if line.field.measure != Measure.R1_R2 or ring is None or ring.highest is None:
        return line
    socket, row = ring.highest
    if taken:
        return replace(line, taken_from=socket.name)
    check = check_against_highest(line.judged.reading, socket.name, row.amount)
    return replace(line, judged=replace(line.judged, checks=(*line.judged.checks, check))) if check else line

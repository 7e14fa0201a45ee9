"""What was read on a job's circuits: what stands, what stood before, what it says, and what to look for."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from jobs.core.ages import is_under_18
from jobs.core.electrics import readings as core
from jobs.core.electrics.checks import Outcome, worst_of
from jobs.core.electrics.judging import Judged, judge_readings, what_holds
from jobs.core.electrics.readings_table import HEADINGS
from jobs.core.electrics.under_test import LIVE_TESTS, UNITS, Field, Measure, UnderTest, WhenTested, fields_for
from jobs.models import Circuit, Instrument, Job, Person, Reading, User
from jobs.queries.circuits import load_schedule
from jobs.queries.firm_calendar import local_today

INSULATION = (Measure.IR_LIVE, Measure.IR_EARTH)
Standing = dict[tuple[int, str], list[Reading]]


@dataclass(frozen=True)
class Line:
    """A measure of a circuit: its field, the row that stands, those before it (newest first), and what it says.

    `expected_ohms`: what its length gives, None where nothing can be said.
    """

    field: Field
    expected_ohms: Decimal | None
    judged: Judged
    stands: Reading | None
    before: tuple[Reading, ...]
    is_overdue: bool

    @property
    def words(self) -> str:
        return self.judged.reading.words(self.field.unit) if self.stands else ""

    @property
    def is_written_otherwise(self) -> bool:
        """Whether the words do not repeat what was written."""
        return self.stands is not None and self.stands.text.replace(" ", "") not in self.words.replace(" ", "")

    @property
    def short(self) -> str:
        """As the measure is called in a table."""
        return HEADINGS[self.field.measure]

    @property
    def outcome(self) -> Outcome:
        return self.judged.outcome

    @property
    def is_out(self) -> bool:
        return self.stands is not None and self.outcome not in (Outcome.PASS, Outcome.NOT_NEEDED)


@dataclass(frozen=True)
class Sheet:
    """A circuit at one time of testing."""

    circuit: Circuit
    when: WhenTested
    tested: UnderTest
    lines: tuple[Line, ...]

    @property
    def entered(self) -> int:
        return sum(line.stands is not None for line in self.lines)

    @property
    def outcome(self) -> Outcome:
        return worst_of(check for line in self.lines for check in line.judged.checks)

    @cached_property
    def holds(self) -> list[str]:
        """What is missing or out, a sentence each."""
        return what_holds(line.judged for line in self.lines)

    @cached_property
    def holds_power(self) -> list[str]:
        """Dead tests that are missing or out: while any is, the circuit must not be energised."""
        return what_holds(line.judged for line in self.lines if line.field.measure not in LIVE_TESTS)


def load_sheets(job: Job, when: WhenTested) -> list[Sheet]:
    """Every circuit that has points or readings, in the order of the board."""
    standing, shown = load_standing([job.pk], when), set(_tested_circuits(job).values_list("pk", flat=True))
    rows = [row for row in load_schedule(job).rows if row.circuit.pk in shown]
    return [_sheet(row.circuit, UnderTest(row.judged, row.supply), when, standing, job) for row in rows]


def load_standing(job_pks: Collection[int], when: WhenTested) -> Standing:
    """(circuit, measure) → its rows, the one that stands last."""
    found: Standing = defaultdict(list)
    rows = Reading.objects.filter(job_id__in=job_pks, when_tested=when).order_by("tested_at", "op_id", "pk")
    for row in rows.select_related("instrument", "tested_by", "entered_by__person"):
        found[row.circuit_id, row.measure].append(row)
    return found


def find_standing(circuit: Circuit, when: WhenTested, measure: Measure) -> Reading | None:
    rows = Reading.objects.filter(circuit=circuit, when_tested=when, measure=measure)
    return rows.order_by("tested_at", "op_id", "pk").last()


def as_core(row: Reading) -> core.Reading:
    """As it is judged; why it is no reading is said anew."""
    state = core.State(row.state)
    problem = core.read(row.text, UNITS[Measure(row.measure)]).problem if state == core.State.REFUSED else ""
    return core.Reading(row.text, state, row.amount, problem)


def with_volts(tested: UnderTest, rows: Iterable[Reading]) -> UnderTest:
    """The insulation was tested at the voltage that was said last."""
    volts = [row.test_volts for row in rows if row.measure in INSULATION and row.test_volts]
    return UnderTest(tested.circuit, tested.supply, volts[-1]) if volts else tested


def judge_rows(rows: Mapping[Measure, Reading], tested: UnderTest, when: WhenTested) -> list[Judged]:
    return judge_readings({measure: as_core(row) for measure, row in rows.items()}, tested, when)


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


def _sheet(circuit: Circuit, tested: UnderTest, when: WhenTested, standing: Standing, job: Job) -> Sheet:
    last = {Measure(measure): rows[-1] for (pk, measure), rows in standing.items() if pk == circuit.pk}
    tested = with_volts(tested, sorted(last.values(), key=lambda row: (row.tested_at, row.pk)))
    judged = {row.measure: row for row in judge_rows(last, tested, when)}
    lines = tuple(
        _line(field, tested, judged[field.measure], standing.get((circuit.pk, field.measure), []), job)
        for field in fields_for(tested, when)
    )
    return Sheet(circuit, when, tested, lines)


def _line(field: Field, tested: UnderTest, judged: Judged, rows: list[Reading], job: Job) -> Line:
    stands = rows[-1] if rows and rows[-1].state != core.State.BLANK else None
    before = rows[:-1] if stands else rows
    expected, is_overdue = tested.expected_ohms(field.measure), bool(stands and _is_overdue(stands, job))
    return Line(field, expected, judged, stands, tuple(reversed(before)), is_overdue)


def _is_overdue(row: Reading, job: Job) -> bool:
    zone = ZoneInfo(job.firm.zone)
    return row.calibration_due_on is not None and row.tested_at.astimezone(zone).date() > row.calibration_due_on

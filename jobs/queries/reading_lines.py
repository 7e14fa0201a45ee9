"""A stored reading as it is judged and shown: what stands, what stood before it, what it says."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from zoneinfo import ZoneInfo

from jobs.core.electrics import readings as core
from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.judging import Judged
from jobs.core.electrics.readings_table import SHORT_NAMES
from jobs.core.electrics.under_test import Field
from jobs.models import Job, Reading


@dataclass(frozen=True)
class Line:
    """A measure: its field, the row that stands, those before it (newest first), and what it says.

    `expected_ohms`: what its length gives, None where nothing can be said. `taken_from`: the socket it was taken from
    instead of being written by itself.
    """

    field: Field
    expected_ohms: Decimal | None
    judged: Judged
    stands: Reading | None
    before: tuple[Reading, ...]
    is_overdue: bool
    taken_from: str = ""

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
        return SHORT_NAMES[self.field.measure]

    @property
    def outcome(self) -> Outcome:
        return self.judged.outcome

    @property
    def is_out(self) -> bool:
        return self.stands is not None and self.outcome not in (Outcome.PASS, Outcome.NOT_NEEDED)


def as_core(row: Reading | None, unit: core.Unit) -> core.Reading:
    """As it is judged; why it is no reading is said anew."""
    if row is None:
        return core.Reading("", core.State.BLANK)
    state = core.State(row.state)
    problem = core.read(row.text, unit).problem if state == core.State.REFUSED else ""
    return core.Reading(row.text, state, row.amount, problem)


def split_standing(rows: Sequence[Reading]) -> tuple[Reading | None, tuple[Reading, ...]]:
    """The row that stands, None where it was taken back, and those before it, newest first."""
    stands = rows[-1] if rows and rows[-1].state != core.State.BLANK else None
    return stands, tuple(reversed(rows[:-1] if stands else rows))


def line_of(field: Field, expected_ohms: Decimal | None, judged: Judged, rows: Sequence[Reading], job: Job) -> Line:
    stands, before = split_standing(rows)
    return Line(field, expected_ohms, judged, stands, before, bool(stands and is_overdue(stands, job)))


def is_overdue(row: Reading, job: Job) -> bool:
    """Whether the instrument's calibration had fallen due by the day it was used."""
    zone = ZoneInfo(job.firm.zone)
    return row.calibration_due_on is not None and row.tested_at.astimezone(zone).date() > row.calibration_due_on

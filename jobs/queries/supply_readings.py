"""What was read at the origin of a house: what stands, what it says, and the Ze to reckon with."""

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from jobs.core.electrics.checks import Check, Outcome, worst_of
from jobs.core.electrics.circuit import Earthing
from jobs.core.electrics.judging import what_holds
from jobs.core.electrics.supply_tests import SUPPLY_UNITS, SupplyMeasure, judge_supply, measured_ze_ohms, supply_fields
from jobs.models import Job, Reading
from jobs.queries.reading_lines import Line, as_core, line_of

Standing = dict[str, list[Reading]]


@dataclass(frozen=True)
class SupplySheet:
    """The readings at the origin, in the order they are taken."""

    lines: tuple[Line, ...]

    @property
    def entered(self) -> int:
        return sum(line.stands is not None for line in self.lines)

    @property
    def outcome(self) -> Outcome:
        return worst_of(check for line in self.lines for check in line.judged.checks)

    @property
    def checks(self) -> list[Check]:
        """Of what was read."""
        return [check for line in self.lines if line.stands for check in line.judged.checks]

    @cached_property
    def holds(self) -> list[str]:
        """What is missing or out, a sentence each."""
        return what_holds(line.judged for line in self.lines)

    def find(self, measure: SupplyMeasure) -> Line:
        return next(line for line in self.lines if line.field.measure == measure)


def load_supply_standing(job: Job) -> Standing:
    """Measure → its rows, the one that stands last."""
    found: Standing = defaultdict(list)
    rows = Reading.objects.filter(job=job, measure__in=SUPPLY_UNITS).order_by("tested_at", "op_id", "pk")
    for row in rows.select_related("instrument", "tested_by", "entered_by__person"):
        found[row.measure].append(row)
    return found


def find_supply_standing(job: Job, measure: SupplyMeasure) -> Reading | None:
    return Reading.objects.filter(job=job, measure=measure).order_by("tested_at", "op_id", "pk").last()


def find_measured_ze(standing: Standing) -> Decimal | None:
    rows = standing.get(SupplyMeasure.ZE)
    return measured_ze_ohms(as_core(rows[-1], SUPPLY_UNITS[SupplyMeasure.ZE])) if rows else None


def supply_sheet(job: Job, earthing: Earthing, standing: Standing) -> SupplySheet:
    last = {measure: as_core(standing[measure][-1], unit) for measure, unit in SUPPLY_UNITS.items() if standing.get(measure)}
    pairs = zip(supply_fields(earthing), judge_supply(last, earthing), strict=True)
    return SupplySheet(tuple(line_of(field, None, judged, standing.get(field.measure, []), job) for field, judged in pairs))

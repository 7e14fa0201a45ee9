"""How firm a plan's dates are, kept with its rows: likely and safe dates, and the chance that each holds."""

from collections.abc import Iterable

from jobs.core.planning import input_checks, measure_risk
from jobs.core.planning import plan as core
from jobs.core.planning.problem import Problem
from jobs.models import Firm, Plan, Span
from jobs.queries.learning import load_spreads
from jobs.queries.plan_rows import span_key

RANGE_FIELDS = ("likely_on", "safe_on", "likely_end_on", "safe_end_on", "holds_percent")
UNKNOWN: dict[str, object] = dict.fromkeys(RANGE_FIELDS)

Ranges = dict[str, dict[str, object]]


def measure_ranges(firm: Firm, problem: Problem, answer: core.Plan) -> tuple[Ranges, dict[str, object]]:
    """The range fields of each span by its key, and what a plan's facts say about each job's finish."""
    if not answer.spans or input_checks.sentences(problem):
        return {}, {}
    found, on = measure_risk(problem, answer, load_spreads(firm)), problem.sessions.on
    spans = {
        key: {
            "likely_on": on(one.likely_first),
            "safe_on": on(one.safe_first),
            "likely_end_on": on(one.likely_last),
            "safe_end_on": on(one.safe_last),
            "holds_percent": _percent(one.holds),
        }
        for key, one in found.ranges.items()
    }
    finishes = {
        job: {
            "likely_on": on(finish.likely_last).isoformat(),
            "safe_on": on(finish.safe_last).isoformat(),
            "holds_percent": None if finish.holds is None else _percent(finish.holds),
        }
        for job, finish in found.finishes.items()
    }
    return spans, finishes


def _percent(share: float) -> int:
    """Whole per cent, 100 only when nothing was ever late, 0 only when all was."""
    return round(share * 100) if share in {0.0, 1.0} else min(99, max(1, round(share * 100)))


def renew_ranges(plan: Plan, problem: Problem, answer: core.Plan) -> None:
    """Measure a plan anew after a change by hand. Its facts are changed, not saved."""
    ranges, finishes = measure_ranges(plan.firm, problem, answer)
    rows = list(_measured(plan.spans.all(), ranges))
    Span.objects.bulk_update(rows, RANGE_FIELDS)
    plan.facts = plan.facts | {"finishes": finishes}


def _measured(rows: Iterable[Span], ranges: Ranges) -> Iterable[Span]:
    for row in rows:
        if (key := span_key(row)) in ranges:
            for field, value in ranges[key].items():
                setattr(row, field, value)
            yield row

"""How firm the dates of a stored plan are."""

from datetime import date

from jobs.core.date_range import DateRange
from jobs.models import Plan, Span
from jobs.queries.planning_keys import job_key


def start_range(span: Span | None) -> DateRange | None:
    """When an activity starts; None where that was not measured. Only a visit's start is a date to hold."""
    if span is None or span.likely_on is None or span.safe_on is None:
        return None
    return DateRange(span.starts_on, span.likely_on, span.safe_on, span.holds_percent if span.visit_id else None)


def end_range(span: Span | None) -> DateRange | None:
    """When an activity ends; None where that was not measured."""
    if span is None or span.likely_end_on is None or span.safe_end_on is None:
        return None
    return DateRange(span.ends_on, span.likely_end_on, span.safe_end_on)


def finish_range(plan: Plan | None, job_pk: int, planned_on: date) -> DateRange | None:
    """When a job finishes by a plan, with the chance that its promise holds."""
    found = plan.facts.get("finishes", {}).get(job_key(job_pk)) if plan else None
    if not found:
        return None
    likely_on, safe_on = date.fromisoformat(found["likely_on"]), date.fromisoformat(found["safe_on"])
    return DateRange(planned_on, likely_on, safe_on, found["holds_percent"], "the promise")

"""What every change of a plan by hand does: a draft to make it in, a time it can be made for, and the check afterwards."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from jobs.actions.permission import Refused
from jobs.actions.plan_ranges import renew_ranges
from jobs.actions.plan_rows import CHANGED_MEANWHILE, broken_facts, copy_row, start_draft
from jobs.core.planning import check_plan
from jobs.core.planning.plan import Plan as Answer
from jobs.core.planning.plan import Status
from jobs.core.planning.problem import Problem
from jobs.core.workdays import Session
from jobs.models import Booking, Firm, Plan, Span, User
from jobs.queries.firm_calendar import load_calendar, next_session
from jobs.queries.plan_rows import load_plan
from jobs.queries.planning import load_problem
from jobs.queries.planning_keys import is_package, pk_of


@dataclass(frozen=True)
class Moved:
    """What a hand change did: the draft it is in (if any), what it says, and what it newly breaks, in sentences."""

    plan: Plan | None
    words: str
    breaks: tuple[str, ...] = ()


def copy_issued(issued: Plan, version: int, by: User, now: datetime) -> Plan:
    """A draft that says what people hold, to be changed by hand."""
    if issued.version != version:
        raise Refused(CHANGED_MEANWHILE, field="version")
    draft = start_draft(issued.firm, by=by, now=now)
    draft.status, draft.message, draft.facts = issued.status, issued.message, issued.facts
    draft.save()
    Booking.objects.bulk_create([copy_row(row, draft) for row in issued.bookings.all()])
    Span.objects.bulk_create([copy_row(row, draft) for row in issued.spans.all()])
    return draft


def refuse_time(firm: Firm, on: date, half: str, now: datetime) -> None:
    """When nothing can be put, whoever wants it."""
    rest = load_calendar(firm, on).rest_name(on)
    if rest:
        raise Refused(f"Nobody works on {on:%A} {on.day} {on:%B} ({rest}). Choose a working day.", field="on")
    if (on, half) < next_session(firm, now):
        raise Refused("That session is over. Choose a later one.", field="on")


def recheck(plan: Plan, now: datetime) -> tuple[str, ...]:
    """Check the draft by the rules, keep what is broken with it, and say what is newly broken.

    The planner's figures no longer hold for a plan changed by hand, so they go.
    """
    problem = load_problem(plan.firm, *next_session(plan.firm, now))
    answer = load_plan(plan, problem)
    broken = check_plan(problem, answer)
    known = {rule["words"] for rule in plan.facts.get("broken", ())}
    _renew_spans(plan, problem, answer)
    renew_ranges(plan, problem, answer)
    plan.facts = {"broken": broken_facts(broken), "conflicts": plan.facts.get("conflicts", []) if broken else []}
    plan.status = plan.status if broken else Status.FEASIBLE
    plan.version += 1
    plan.save(update_fields=["facts", "status", "version"])
    return tuple(dict.fromkeys(rule.words for rule in broken if rule.words not in known))


def _renew_spans(plan: Plan, problem: Problem, answer: Answer) -> None:
    """Spans follow the bookings they cover."""
    rows = {row.package_id: row for row in plan.spans.filter(package__isnull=False)}
    changed = []
    for key, span in answer.spans.items():
        row = rows.get(pk_of(key)) if is_package(key) else None
        if row and _follow(row, problem.sessions[span.first], problem.sessions[span.last]):
            changed.append(row)
    Span.objects.bulk_update(changed, ["starts_on", "starts_half", "ends_on", "ends_half", "starts_share", "ends_share"])


def _follow(row: Span, first: Session, last: Session) -> bool:
    place = (first.on, first.half, last.on, last.half)
    if place == (row.starts_on, row.starts_half, row.ends_on, row.ends_half):
        return False
    row.starts_on, row.starts_half, row.ends_on, row.ends_half = place
    row.starts_share, row.ends_share = Decimal(0), Decimal(1)
    return True

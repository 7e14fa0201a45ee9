"""Holding another trade's visit where the office wants it: a pin the planner keeps, checked, and taken back like any move."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from jobs.actions.permission import Refused, require_office
from jobs.actions.plan_by_hand import Moved, copy_issued, recheck, refuse_time
from jobs.actions.plan_rows import CHANGED_MEANWHILE, lock_draft
from jobs.core.planning.build import visit_ends
from jobs.core.planning.plan import CauseKind
from jobs.core.stages import Half
from jobs.core.workdays import Session
from jobs.models import Firm, Pin, Plan, Span, User, Visit
from jobs.queries.firm_calendar import next_session
from jobs.queries.planning import load_problem
from jobs.queries.planning_keys import visit_key
from jobs.queries.planning_work import VISITS_FIXED
from jobs.queries.plans import find_issued


@dataclass(frozen=True)
class Start:
    """The day and half a visit starts in."""

    on: date
    half: str

    def __str__(self) -> str:
        return f"{self.on:%A} {self.on.day} {self.on:%B}, {Half(self.half).label}"


@transaction.atomic
def hold_visit(*, visit: Visit, on: date, half: str, version: int, by: User, now: datetime) -> Moved:
    """Start a visit in a session of the office's choice and hold it there until it is let go or agreed with the trade.

    On the issued plan this first makes a draft of it. The trade hears of it when the plan is issued; what it
    breaks is told, not forbidden.
    """
    require_office(by, visit)
    if visit.state in VISITS_FIXED:
        raise Refused(_fixed_words(visit))
    refuse_time(visit.firm, on, half, now)
    draft = _draft(visit.firm, version, by, now)
    row, start = _span(draft, visit), Start(on, half)
    was, was_pinned = Start(row.starts_on, row.starts_half), _let_go(visit)
    Pin.objects.create(
        firm_id=visit.firm_id, visit=visit, on=on, half=half, was_on=was.on, was_half=was.half, was_pinned=was_pinned,
        made_by=by, made_at=now,
    )
    _put(row, start, now, {"kind": CauseKind.PIN, "words": f"put there by hand for {start}", "because_of": None})
    return Moved(draft, f"{visit}, {visit.job}: now held for {start}.", recheck(draft, now))


def _fixed_words(visit: Visit) -> str:
    if visit.state == Visit.State.ACCEPTED:
        return f"{visit} was agreed with the trade, and the planner keeps that. Agree another date with them first."
    return f"This visit is {visit.get_state_display().lower()}. Open it again first."


def _draft(firm: Firm, version: int, by: User, now: datetime) -> Plan:
    draft, issued = lock_draft(firm), find_issued(firm)
    if draft is None and issued is None:
        raise Refused("There is no plan yet. Plan first, then hold the visit where you want it.")
    if draft is None:
        return copy_issued(issued, version, by, now)
    if draft.version != version:
        raise Refused(CHANGED_MEANWHILE, field="version")
    return draft


def _span(draft: Plan, visit: Visit) -> Span:
    row = draft.spans.select_related("visit", "firm").filter(visit=visit).first()
    if row is None:
        raise Refused(f"{visit} has no place in this plan yet. Plan again, then hold it where you want it.")
    return row


def _let_go(visit: Visit) -> bool:
    """Forget an earlier hold of the visit; whether there was one."""
    return Pin.objects.filter(visit=visit).delete()[0] > 0


def put_back(draft: Plan, pin: Pin, by: User, now: datetime) -> str:
    """Take back one hold: the visit returns to where it was, if it still stands where it was put."""
    row = draft.spans.select_related("visit", "firm").filter(visit=pin.visit, starts_on=pin.on, starts_half=pin.half).first()
    pin.delete()
    if row is None:
        return f"{pin.visit} is no longer held. A later plan had moved it, so plan again to place it."
    back = Start(pin.was_on, pin.was_half)
    if pin.was_pinned:
        Pin.objects.create(firm_id=pin.firm_id, visit=pin.visit, on=back.on, half=back.half, made_by=by, made_at=now)
    _put(row, back, now, {})
    return f"{pin.visit}, {pin.visit.job}: back to {back}."


def _put(row: Span, start: Start, now: datetime, cause: dict[str, object]) -> None:
    last = _last(row, start, now)
    row.starts_on, row.starts_half, row.ends_on, row.ends_half = start.on, start.half, last.on, last.half
    row.starts_share, row.ends_share, row.cause = 0, 1, cause
    row.save()


def _last(row: Span, start: Start, now: datetime) -> Session:
    """The last session of the visit if it starts then: it pauses while its trade is away."""
    problem = load_problem(row.firm, *next_session(row.firm, now))
    number = problem.sessions.index(start.on, Half(start.half))
    end = None if number is None else visit_ends(problem, problem.activities()[visit_key(row.visit_id)])[number]
    if end is None or end > len(problem.sessions):
        raise Refused("That is further ahead than the planner looks. Choose a sooner day.", field="on")
    return problem.sessions[end - 1]

"""A stored plan → the planner's plan, so that rules, reasons and comparisons work on what was kept."""

from collections import defaultdict
from collections.abc import Iterable

from jobs.core.planning import plan as core
from jobs.core.planning import problem as asked
from jobs.core.stages import Half
from jobs.core.workdays import Sessions
from jobs.models import Booking, Firm, Plan, Span
from jobs.queries.planning import core_bookings
from jobs.queries.planning_keys import package_key, visit_key
from jobs.queries.plans import find_draft, find_issued


def load_plan(plan: Plan, problem: asked.Problem) -> core.Plan:
    """The plan from the problem's first session on, of activities the problem still knows."""
    open_keys = {activity.key for activity in (*problem.open_packages(), *problem.open_visits())}
    rows = Booking.objects.filter(plan=plan).order_by("on", "half", "pk")
    bookings = [
        booking
        for booking in core_bookings(rows, problem.sessions)
        if booking.package in open_keys and booking.session >= problem.first_session
    ]
    spans = (_span(row, problem.sessions) for row in Span.objects.filter(plan=plan))
    kept = {span.key: span for span in spans if span.key in open_keys}
    return core.Plan(
        status=core.Status(plan.status),
        spans=kept | _worked_spans(bookings, kept, problem),
        bookings=tuple(sorted(bookings)),
    )


def load_before(firm: Firm, problem: asked.Problem) -> core.Plan | None:
    """The plan that the next one is compared with: the draft, or what people hold."""
    plan = find_draft(firm) or find_issued(firm)
    return load_plan(plan, problem) if plan else None


def span_key(row: Span) -> str:
    return package_key(row.package_id) if row.package_id else visit_key(row.visit_id)


def _span(row: Span, sessions: Sessions) -> core.Span:
    first = sessions.first_on_or_after(row.starts_on, Half(row.starts_half))
    last = max(first, sessions.first_on_or_after(row.ends_on, Half(row.ends_half)))
    return core.Span(
        key=span_key(row),
        first=first,
        last=last,
        starts_at=first + float(row.starts_share),
        ends_at=last + float(row.ends_share),
    )


def _worked_spans(
    bookings: Iterable[asked.Booking], kept: dict[str, core.Span], problem: asked.Problem
) -> dict[str, core.Span]:
    """Spans of packages run from their first booking to their last: a hand move carries them along."""
    worked: dict[str, list[int]] = defaultdict(list)
    for booking in bookings:
        if not booking.is_alongside:
            worked[booking.package].append(booking.session)
    return {
        key: worked_span(key, min(numbers), max(numbers), kept.get(key))
        for key, numbers in worked.items()
    }


def worked_span(key: str, first: int, last: int, kept: core.Span | None) -> core.Span:
    """A package's span over its bookings; where an end stands as planned, its share of the session stands too."""
    starts_at = kept.starts_at if kept and kept.first == first else float(first)
    ends_at = kept.ends_at if kept and kept.last == last else float(last + 1)
    return core.Span(key, first, last, starts_at, ends_at, kept.mix if kept else None)

"""The planner's answer → rows of the draft, all or nothing."""

from collections.abc import Iterable, Iterator
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction
from django.db.models import Max

from jobs.actions.permission import Refused
from jobs.actions.plan_ranges import UNKNOWN, Ranges, measure_ranges
from jobs.core.planning import plan as core
from jobs.core.planning.problem import Booking as CoreBooking
from jobs.core.planning.problem import Problem
from jobs.core.stages import Half
from jobs.models import Booking, Firm, Plan, Span, User
from jobs.queries.plan_rows import span_key
from jobs.queries.planning_keys import is_package, pk_of
from jobs.queries.plans import find_issued

THOUSANDTH = Decimal("0.001")
CHANGED_MEANWHILE = "Someone changed the draft meanwhile. Nothing of theirs was lost: look at it again, then repeat yours."


def lock_draft(firm: Firm) -> Plan | None:
    return Plan.objects.select_for_update().filter(firm=firm, state=Plan.State.DRAFT).first()


def start_draft(firm: Firm, *, by: User | None, now: datetime) -> Plan:
    highest = Plan.objects.filter(firm=firm).aggregate(number=Max("number"))["number"] or 0
    return Plan.objects.create(firm=firm, number=highest + 1, made_at=now, made_by=by, version=0)


def save_draft(
    *, firm: Firm, problem: Problem, answer: core.Plan, version: int | None, by: User | None, now: datetime
) -> Plan:
    """Replace the draft by the planner's answer.

    `version` is the draft's when planning began (None: there was none); if it is another now, somebody
    worked on it meanwhile and their work stays.
    """
    ranges, finishes = measure_ranges(firm, problem, answer)
    with transaction.atomic():
        draft = lock_draft(firm)
        if (draft.version if draft else None) != version:
            raise Refused(CHANGED_MEANWHILE, field="version")
        draft = draft or start_draft(firm, by=by, now=now)
        _write_rows(draft, problem, answer, ranges)
        _write_head(draft, answer, finishes, by, now)
    return draft


def _write_head(draft: Plan, answer: core.Plan, finishes: dict[str, object], by: User | None, now: datetime) -> None:
    draft.version += 1
    draft.status = answer.status
    draft.message = "\n".join(answer.messages)
    draft.facts = answer_facts(answer) | {"finishes": finishes}
    draft.made_at, draft.made_by = now, by
    draft.save()


def answer_facts(answer: core.Plan) -> dict[str, object]:
    return {
        "objective": answer.objective.terms(),
        "bound": answer.bound.terms(),
        "gap": answer.gap,
        "broken": broken_facts(answer.broken),
        "conflicts": [_conflict_facts(conflict) for conflict in answer.conflicts],
    }


def broken_facts(broken: Iterable[core.Broken]) -> list[dict[str, object]]:
    return [{"rule": rule.rule, "words": rule.words, "keys": list(rule.keys)} for rule in broken]


def _conflict_facts(conflict: core.Conflict) -> dict[str, object]:
    wishes = [
        {"key": wish.key, "kind": wish.kind, "words": wish.words, "if_relaxed": wish.if_relaxed}
        for wish in conflict.wishes
    ]
    return {"words": conflict.words, "is_smallest": conflict.is_smallest, "wishes": wishes}


def _write_rows(draft: Plan, problem: Problem, answer: core.Plan, ranges: Ranges) -> None:
    issued = find_issued(draft.firm)
    bookings, spans = (list(_past_bookings(draft, issued, problem)), list(_past_spans(draft, issued, answer)))
    bookings += [_booking(draft, problem, booking) for booking in answer.bookings]
    spans += [_span(draft, problem, answer, span, ranges.get(span.key, UNKNOWN)) for span in answer.spans.values()]
    draft.bookings.all().delete()
    draft.spans.all().delete()
    Booking.objects.bulk_create(bookings)
    Span.objects.bulk_create(spans)


def _past_bookings(draft: Plan, issued: Plan | None, problem: Problem) -> Iterator[Booking]:
    """This week's bookings that are over stay on the page as they were issued."""
    starts_on, half = first_moment(problem)
    monday = starts_on - timedelta(days=starts_on.weekday())
    rows = issued.bookings.filter(on__gte=monday, on__lte=starts_on) if issued else ()
    for row in rows:
        if (row.on, row.half) < (starts_on, half):
            yield copy_row(row, draft)


def _past_spans(draft: Plan, issued: Plan | None, answer: core.Plan) -> Iterator[Span]:
    """What is finished keeps the dates it was issued with."""
    for row in issued.spans.all() if issued else ():
        if span_key(row) not in answer.spans:
            yield copy_row(row, draft)


def copy_row(row: Booking | Span, plan: Plan) -> Booking | Span:
    """An unsaved twin of a booking or span in another plan."""
    fields = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields if not field.primary_key}
    return type(row)(**(fields | {"plan_id": plan.pk}))


def first_moment(problem: Problem) -> tuple[date, Half]:
    if problem.first_session < len(problem.sessions):
        session = problem.sessions[problem.first_session]
        return session.on, session.half
    return problem.sessions.on(problem.first_session), Half.MORNING


def _booking(draft: Plan, problem: Problem, booking: CoreBooking) -> Booking:
    session = problem.sessions[booking.session]
    return Booking(
        firm_id=draft.firm_id,
        plan=draft,
        person_id=pk_of(booking.person),
        package_id=pk_of(booking.package),
        on=session.on,
        half=session.half,
        hours=max(Decimal("0.01"), round(Decimal(booking.hours), 2)),
        is_alongside=booking.is_alongside,
    )


def _span(draft: Plan, problem: Problem, answer: core.Plan, span: core.Span, of_range: dict[str, object]) -> Span:
    first, last = problem.sessions[span.first], problem.sessions[span.last]
    of = {"package_id": pk_of(span.key)} if is_package(span.key) else {"visit_id": pk_of(span.key)}
    return Span(
        firm_id=draft.firm_id,
        plan=draft,
        **of,
        starts_on=first.on,
        starts_half=first.half,
        ends_on=last.on,
        ends_half=last.half,
        starts_share=_share(span.starts_at - span.first),
        ends_share=_share(span.ends_at - span.last),
        **of_range,
        cause=_cause_facts(answer.causes.get(span.key)),
    )


def _share(of_session: float) -> Decimal:
    return Decimal(min(max(of_session, 0.0), 1.0)).quantize(THOUSANDTH)


def _cause_facts(cause: core.Cause | None) -> dict[str, object]:
    return {"kind": cause.kind, "words": cause.words, "because_of": cause.because_of} if cause else {}

"""Which plan is which: the draft, the issued one, the one people held in a week gone by, and the planner's runs."""

from datetime import date, datetime, timedelta

from django.db.models import Q

from jobs.models import Firm, OutboxEntry, Pin, Plan, PlanRun

PLAN_WHEN_FREE = "plan_when_free"
LEASE_AFTER_TIME = timedelta(minutes=2)
"""A run that is silent this long after its time is up has died with its worker."""


def find_draft(firm: Firm) -> Plan | None:
    return Plan.objects.filter(firm=firm, state=Plan.State.DRAFT).select_related("made_by").first()


def find_issued(firm: Firm) -> Plan | None:
    return Plan.objects.filter(firm=firm, state=Plan.State.ISSUED).select_related("issued_by").first()


def find_held(firm: Firm, monday: date, today: date) -> Plan | None:
    """The issued plan as it stood at the end of a week gone by; for this week and later, the issued plan."""
    if monday + timedelta(days=7) > today:
        return find_issued(firm)
    issued = Plan.objects.filter(firm=firm).exclude(state=Plan.State.DRAFT)
    return issued.filter(issued_at__date__lt=monday + timedelta(days=7)).order_by("-issued_at").first()


def find_running(firm: Firm, now: datetime) -> PlanRun | None:
    """The run that is under way or about to be."""
    runs = PlanRun.objects.filter(firm=firm, state__in=(PlanRun.State.WAITING, PlanRun.State.RUNNING))
    alive = (run for run in runs.select_related("asked_by") if not has_died(run, now))
    return next(alive, None)


def has_died(run: PlanRun, now: datetime) -> bool:
    if run.started_at is None:
        return False
    return run.started_at + timedelta(seconds=run.seconds) + LEASE_AFTER_TIME < now


def find_waiting_turn(firm: Firm) -> OutboxEntry | None:
    """A plan that is to be made as soon as the one under way has ended."""
    return OutboxEntry.objects.filter(firm=firm, task=PLAN_WHEN_FREE, state=OutboxEntry.State.WAITING).first()


def find_last_run(firm: Firm) -> PlanRun | None:
    return PlanRun.objects.filter(firm=firm).select_related("asked_by").first()


def list_pins(firm: Firm, today: date) -> list[Pin]:
    """Hand decisions that still lie ahead, the newest last."""
    related = ("person", "package__area", "package__job", "visit__kind", "visit__area", "visit__job", "made_by")
    ahead = Q(on__gte=today)
    return list(Pin.objects.filter(ahead, firm=firm).select_related(*related).order_by("made_at", "pk"))


def list_last_move(firm: Firm) -> list[Pin]:
    """The pins of the last move by hand; a whole day moved makes one for each half."""
    moves = Pin.objects.filter(firm=firm, was_on__isnull=False)
    last = moves.order_by("made_at", "pk").last()
    related = ("person", "was_person", "package__area", "package__job", "visit__kind", "visit__area", "visit__job")
    return list(moves.filter(made_at=last.made_at).select_related(*related).order_by("pk")) if last else []

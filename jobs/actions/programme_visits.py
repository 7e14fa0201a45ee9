"""The other trades' visits of a job: the usual ones, and those added by hand."""

from decimal import Decimal

from django.db import transaction

from jobs.actions.permission import Refused, require_office
from jobs.actions.programme_waits import renew_waits
from jobs.core.stages import RoomKind, Stage, Trade
from jobs.core.takeoff import HouseSurvey
from jobs.core.template import is_plastered
from jobs.models import Area, Contact, Job, User, Visit, VisitKind, WorkPackage


def add_usual_visits(job: Job, house: HouseSurvey) -> None:
    """Pencil the visits a rewire usually needs. One that was there before, even if cancelled, is not added again."""
    had = set(Visit.objects.filter(job=job).values_list("kind_id", "area_id"))
    known, areas = _contacts_by_trade(job), _first_fix_areas(job)
    Visit.objects.bulk_create(
        Visit(
            firm=job.firm, job=job, kind=kind, area_id=area, length_days=kind.length_days, contact_id=known.get(kind.trade)
        )
        for kind in VisitKind.objects.filter(firm=job.firm, is_usual=True)
        for area in _places(kind, house, areas, had)
    )


@transaction.atomic
def add_visit(
    *,
    job: Job,
    kind: VisitKind,
    by: User,
    area: Area | None = None,
    contact: Contact | None = None,
    length_days: Decimal | None = None,
) -> Visit:
    """Pencil a visit of another trade, in one area or the whole house; the template says what it waits for."""
    require_office(by, job, kind, area, contact)
    if area and area.job_id != job.pk:
        raise Refused(f"{area} is no part of this house. Choose one of its own areas.", field="area")
    if length_days is not None and not 0 < length_days <= 100:
        raise Refused("A visit takes between half a day and 100 days.", field="length_days")
    _require_trade(kind, contact)
    visit = Visit.objects.create(
        firm_id=job.firm_id, job=job, kind=kind, area=area, contact=contact, length_days=length_days or kind.length_days
    )
    renew_waits(job)
    return visit


def _require_trade(kind: VisitKind, contact: Contact | None) -> None:
    if contact and contact.trade != kind.trade:
        raise Refused(
            f"{contact} is kept under {contact.get_trade_display()}; this visit needs a contact of the trade "
            f"{kind.get_trade_display()}.",
            field="contact",
        )


def _contacts_by_trade(job: Job) -> dict[str, int]:
    """Who came or was to come to this house before, by trade; the latest counts. The customer is one of them."""
    rows = Visit.objects.filter(job=job, contact__isnull=False).order_by("pk")
    known = dict(rows.values_list("kind__trade", "contact_id"))
    return ({Trade.CUSTOMER: job.customer_id} if job.customer_id else {}) | known


def _first_fix_areas(job: Job) -> list[int]:
    worked = WorkPackage.objects.filter(job=job, stage=Stage.FIRST_FIX, labour_hours__gt=0)
    return list(worked.order_by("area__position", "area_id").values_list("area_id", flat=True))


def _places(
    kind: VisitKind, house: HouseSurvey, areas: list[int], had: set[tuple[int, int | None]]
) -> list[int | None]:
    """The areas a kind of visit is still missing in; None is the whole house. The operator comes to the board."""
    places = [None] if kind.trade != Trade.NETWORK_OPERATOR else [house.board_room.area]
    if not kind.per_area:
        return [] if any(kind.pk == had_kind for had_kind, _ in had) else places
    if (kind.pk, None) in had:
        return []
    closed = [area for area in areas if not kind.covers_up or is_plastered(_room_kinds(house, area))]
    return [area for area in closed if (kind.pk, area) not in had]


def _room_kinds(house: HouseSurvey, area: int) -> list[RoomKind]:
    return [room.kind for room in house.rooms if room.area == area]

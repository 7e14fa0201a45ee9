"""What people say was really used on a job, against what its ticks propose."""

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from jobs.core.takeoff import point_code
from jobs.models import Drum, Firm, Item, Job, Location, MaterialNeed, RoomTask, SiteOperation, StockMove, WorkPackage
from jobs.queries.balances import load_own_balances
from jobs.queries.takeoff import list_materials, load_house, load_job_catalogue


@dataclass(frozen=True)
class UseRow:
    """An item: what the ticks so far propose, and what is booked as fitted. `is_recorded` when somebody said what was used."""

    item: Item
    expected: Decimal
    actual: Decimal
    is_recorded: bool

    @property
    def difference(self) -> Decimal:
        return self.actual - self.expected


def list_packs(item: Item) -> list[int]:
    """The item and whatever is the same thing in another pack."""
    base = item.stands_in_for_id or item.pk
    return list(Item.objects.filter(Q(pk=base) | Q(stands_in_for=base)).values_list("pk", flat=True))


def list_recorded_items(package: WorkPackage) -> set[int]:
    """Items, in every pack, of which somebody recorded the actual use in a package: ticks propose those no longer."""
    return _recorded(SiteOperation.objects.filter(subject=package.uid, firm_id=package.firm_id))


def load_use(job: Job) -> list[UseRow]:
    """Every item that was proposed or fitted, cable first."""
    expected, actual = _load_expected(job), _load_fitted(job)
    recorded = _recorded(SiteOperation.objects.filter(job=job))
    items = Item.objects.in_bulk([*expected, *actual])
    rows = [UseRow(item, expected[pk], actual[pk], pk in recorded) for pk, item in items.items()]
    return sorted((row for row in rows if row.expected or row.actual), key=lambda row: (not row.item.is_cable, row.item.name))


def list_drums_left(firm: Firm) -> list[Drum]:
    """Drums and offcuts with metres on them, to choose from."""
    held = {spot.drum for spot, metres in load_own_balances(firm).quantities.items() if spot.drum and metres > 0}
    return list(Drum.objects.filter(firm=firm, pk__in=held).select_related("item"))


def list_expected(job: Job) -> QuerySet[MaterialNeed]:
    """What the take-off says the packages that are not finished take, package by package."""
    rows = MaterialNeed.objects.filter(package__job=job, package__finished_at=None)
    return rows.select_related("item", "package__area").order_by("package", "item__name", "pk")


def _recorded(operations: QuerySet[SiteOperation]) -> set[int]:
    used = operations.filter(kind="used", outcome=SiteOperation.Outcome.APPLIED)
    moves = StockMove.objects.filter(op_id__in=used.values("op_id"))
    items = Item.objects.filter(pk__in=moves.values("item"))
    return {pk for item in items for pk in list_packs(item)}


def _load_expected(job: Job) -> dict[int, Decimal]:
    """Item pk → what the shares ticked so far take by the take-off."""
    counts: dict[tuple[int, str, str], list[Decimal]] = defaultdict(lambda: [Decimal(0), Decimal(0)])
    tasks = RoomTask.objects.filter(package__job=job, point_kind__isnull=False, is_withdrawn=False)
    columns = ("room_id", "package__stage", "point_kind__code", "point_count", "done_share", "not_needed")
    for room, stage, kind, count, share, not_needed in tasks.values_list(*columns):
        points = counts[room, stage, point_code(kind)]
        points[0] += count
        points[1] += 0 if not_needed else count * share
    pks = dict(Item.objects.filter(firm_id=job.firm_id).values_list("code", "pk"))
    totals: dict[int, Decimal] = defaultdict(Decimal)
    for material in list_materials(load_house(job), load_job_catalogue(job)):
        whole, done = counts[material.room, str(material.stage), material.code]
        if done:
            totals[pks[material.item]] += round(material.quantity * done / whole, 2)
    return totals


def _load_fitted(job: Job) -> dict[int, Decimal]:
    totals: dict[int, Decimal] = defaultdict(Decimal)
    for place, sign in (("moved_to", 1), ("moved_from", -1)):
        moves = StockMove.objects.filter(**{f"{place}__job": job, f"{place}__kind": Location.Kind.FITTED})
        sums = moves.order_by().values_list("item").annotate(total=Sum(Coalesce("pieces", "cable_metres")))
        for item, total in sums:
            totals[item] += sign * total
    return totals

"""Balances by item, place and drum, added up by the database."""

from collections import defaultdict
from collections.abc import Collection
from decimal import Decimal

from django.db.models import Case, Q, QuerySet, Sum, When
from django.db.models.functions import Coalesce

from jobs.core.stock import Balances, Spot
from jobs.models import CarriedStock, Firm, Job, Location, StockClosing, StockMove

OWN_KINDS = (Location.Kind.UNIT, Location.Kind.VAN, Location.Kind.SITE)
"""Places whose stock the firm can still use."""
HUNDREDTH = Decimal("0.01")


def load_balances(firm: Firm, items: Collection[int] | None = None) -> Balances:
    """Balances of the firm, or of the items given (pks), in two queries."""
    moves = StockMove.objects.filter(firm=firm)
    if items is not None:
        moves = moves.filter(item_id__in=items)
    quantities = dict(_sums(moves, "moved_to_id"))
    for spot, went in _sums(moves, "moved_from_id"):
        quantities[spot] = quantities.get(spot, Decimal(0)) - went
    return Balances({spot: quantity for spot, quantity in quantities.items() if quantity})


def load_own_balances(firm: Firm, items: Collection[int] | None = None) -> Balances:
    """Balances of the firm's own places alone: from what was carried forward and what moved since, so that it takes no
    longer the more jobs are over."""
    return add_up(firm, find_closing(firm), items=items)


def find_closing(firm: Firm) -> StockClosing | None:
    """The last one that carried something forward. Its rows stay for another night, for whoever reads them now."""
    return StockClosing.objects.filter(firm=firm, up_to__isnull=False).order_by("pk").last()


def add_up(
    firm: Firm, closing: StockClosing | None, up_to: int | None = None, *, items: Collection[int] | None = None
) -> Balances:
    """What a closing carried forward, and the moves since, as far as move number `up_to`."""
    moves, carried = StockMove.objects.filter(firm=firm), CarriedStock.objects.filter(closing=closing)
    if closing:
        moves = moves.filter(pk__gt=closing.up_to_id)
    if up_to is not None:
        moves = moves.filter(pk__lte=up_to)
    if items is not None:
        moves, carried = moves.filter(item_id__in=items), carried.filter(item_id__in=items)
    quantities: dict[Spot, Decimal] = defaultdict(Decimal)
    if closing:
        quantities |= {Spot(*spot): held for *spot, held in carried.values_list("item", "place", "drum", "quantity")}
    for place, sign in (("moved_to", 1), ("moved_from", -1)):
        for spot, total in _sums(moves.filter(**{f"{place}__kind__in": OWN_KINDS}), f"{place}_id"):
            quantities[spot] += sign * total
    return Balances({spot: quantity for spot, quantity in quantities.items() if quantity})


def _sums(moves: QuerySet[StockMove], place: str) -> list[tuple[Spot, Decimal]]:
    rows = moves.order_by().values_list("item_id", place, "drum_id").annotate(sum=Sum(Coalesce("pieces", "cable_metres")))
    return [(Spot(*spot), total.quantize(HUNDREDTH)) for *spot, total in rows]


def own_places(firm: Firm) -> QuerySet[Location]:
    """Places for stock that something can be put in: sites of closed jobs are left out."""
    closed = Q(kind=Location.Kind.SITE, job__state__in=(Job.State.HANDED_OVER, Job.State.DROPPED))
    return all_places(firm).exclude(closed)


def all_places(firm: Firm) -> QuerySet[Location]:
    """The unit, then vans, then sites, closed ones too."""
    order = Case(*(When(kind=kind, then=number) for number, kind in enumerate(OWN_KINDS)))
    return Location.objects.filter(firm=firm, kind__in=OWN_KINDS).order_by(order, "name")


def list_own_places(firm: Firm) -> list[Location]:
    return list(all_places(firm).select_related("job", "person"))

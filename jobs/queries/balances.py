"""Balances by item, place and drum, added up by the database."""

from collections.abc import Collection
from decimal import Decimal

from django.db.models import Case, Q, QuerySet, Sum, When
from django.db.models.functions import Coalesce

from jobs.core.stock import Balances, Spot
from jobs.models import Firm, Job, Location, StockMove

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

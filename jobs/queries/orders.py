"""Orders: what was asked for, what came, what is still to come."""

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import DecimalField, F, Q, QuerySet, Sum, Value
from django.db.models.functions import Coalesce

from jobs.core.figures import plain
from jobs.models import Firm, Location, Order, OrderLine

NOTHING = Value(Decimal(0), output_field=DecimalField(max_digits=12, decimal_places=2))
CAME = Q(moves__moved_from__kind=Location.Kind.SUPPLIER)
CLOSED = (Order.State.ARRIVED, Order.State.CANCELLED)
RETURNED = Q(moves__moved_to__kind=Location.Kind.SUPPLIER)


def order_lines(firm: Firm) -> QuerySet[OrderLine]:
    """Order lines with `came`, what was received on them so far, and `returned`, what of it went back."""
    quantity = Coalesce("moves__pieces", "moves__cable_metres")
    return (
        OrderLine.objects.filter(firm=firm)
        .annotate(came=Coalesce(Sum(quantity, filter=CAME), NOTHING))
        .annotate(returned=Coalesce(Sum(quantity, filter=RETURNED), NOTHING))
        .select_related("item", "order__supplier", "order__job")
        .order_by("order__expected_on", "order_id", "pk")
    )


@dataclass(frozen=True)
class LineRow:
    line: OrderLine

    @property
    def came(self) -> Decimal:
        return Decimal(self.line.came).quantize(Decimal("0.01"))

    @property
    def returned(self) -> Decimal:
        return Decimal(self.line.returned).quantize(Decimal("0.01"))

    @property
    def to_come(self) -> Decimal:
        return max(self.line.quantity - self.came, Decimal(0))

    @property
    def packs(self) -> str:
        """“3 packs of 10”, where the line is whole packs of more than one."""
        item = self.line.item
        size = Decimal(item.pack_size)
        if size <= 1 or self.line.quantity % size:
            return ""
        count, word = int(self.line.quantity / size), "drum" if item.is_cable else "pack"
        return f"{count} {word}{'s' * (count > 1)} of {plain(size)}{' m' * item.is_cable}"

    @property
    def is_over(self) -> bool:
        return self.came > self.line.quantity


@dataclass(frozen=True)
class OrderRow:
    order: Order
    lines: tuple[LineRow, ...]

    @property
    def is_written(self) -> bool:
        return self.order.state == Order.State.WRITTEN

    @property
    def has_come(self) -> bool:
        return any(row.came for row in self.lines)

    @property
    def is_part_delivered(self) -> bool:
        return self.order.state == Order.State.PLACED and self.has_come


def load_orders(firm: Firm, *, is_open: bool, limit: int = 50) -> list[OrderRow]:
    """Open orders by the day they are expected; closed ones, the latest first. Unsent ones are neither."""
    orders = Order.objects.filter(firm=firm).select_related("supplier", "job")
    if is_open:
        wanted = list(orders.filter(state=Order.State.PLACED).order_by("expected_on", "pk"))
    else:
        wanted = list(orders.filter(state__in=CLOSED).order_by("-expected_on", "-pk")[:limit])
    return _with_lines(firm, wanted)


def load_written(firm: Firm) -> list[OrderRow]:
    """Orders that wait to be sent, the oldest first."""
    orders = Order.objects.filter(firm=firm, state=Order.State.WRITTEN).select_related("supplier", "job")
    return _with_lines(firm, list(orders.order_by("pk")))


def _with_lines(firm: Firm, wanted: list[Order]) -> list[OrderRow]:
    by_order: dict[int, list[LineRow]] = defaultdict(list)
    for line in order_lines(firm).filter(order__in=wanted):
        by_order[line.order_id].append(LineRow(line))
    return [OrderRow(order, tuple(by_order[order.pk])) for order in wanted]


def load_order(order: Order) -> OrderRow:
    return OrderRow(order, tuple(LineRow(line) for line in order_lines(order.firm).filter(order=order)))


def load_lines_to_come(firm: Firm) -> list[LineRow]:
    """Lines of open orders that have not come in full."""
    rows = order_lines(firm).filter(order__state=Order.State.PLACED, quantity__gt=F("came"))
    return [row for row in map(LineRow, rows) if row.to_come]

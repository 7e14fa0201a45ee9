"""What things cost: the price of a day, and the cost of a quantity in whole pence, without VAT."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal


@dataclass(frozen=True)
class Price:
    """`pence` for `per_quantity` pieces or metres (above zero) of an item, from a day on. `number` tells which of one
    day was written last."""

    item: int
    pence: int
    per_quantity: Decimal
    from_on: date
    supplier: int | None = None
    number: int = 0

    def cost(self, quantity: Decimal) -> int:
        """Pence for a quantity, half a penny rounded away from nought: once, at the end."""
        exact = quantity * self.pence / self.per_quantity
        return int(exact.quantize(Decimal(1), ROUND_HALF_UP))


class PriceBook:
    """Prices by item. The price of a day is the latest not after it; the usual supplier's goes before others'."""

    def __init__(self, prices: Iterable[Price], usual_suppliers: dict[int, int | None] | None = None) -> None:
        self.usual = usual_suppliers or {}
        self.by_item: dict[int, list[Price]] = defaultdict(list)
        for price in sorted(prices, key=lambda each: (each.from_on, each.number), reverse=True):
            self.by_item[price.item].append(price)

    def price_on(self, item: int, on: date, supplier: int | None = None) -> Price | None:
        """None: nobody had a price by then. `supplier` asks for that one's before the usual one's."""
        known = [price for price in self.by_item.get(item, ()) if price.from_on <= on]
        wanted = supplier or self.usual.get(item)
        return next((price for price in known if price.supplier == wanted), known[0] if known else None)

    def cost(self, item: int, quantity: Decimal, on: date) -> int | None:
        """Pence for a quantity at the price of a day; None without a price."""
        price = self.price_on(item, on)
        return price.cost(quantity) if price else None

"""What suppliers ask for things: prices are added, the earlier ones stay."""

from datetime import date, datetime
from decimal import Decimal

from jobs.actions.permission import Refused, require_office
from jobs.models import Item, Price, Supplier, User

MOST_PENCE = 100_000_00
EARLIEST_YEAR, LATEST_YEAR = 2000, 2100


def add_price(
    *, item: Item, pence: int, per_quantity: Decimal, from_on: date, by: User, at: datetime, supplier: Supplier | None = None
) -> Price:
    """A price from a day on, for so many pieces or metres; a second one for the same day replaces the first."""
    require_office(by, item, supplier)
    if not 0 <= pence < MOST_PENCE:
        raise Refused("Enter pounds and pence, from 0 to less than 100,000.", field="pounds")
    if per_quantity <= 0:
        raise Refused("Enter how many pieces or metres the price is for, more than 0.", field="per_quantity")
    if not EARLIEST_YEAR <= from_on.year <= LATEST_YEAR:
        raise Refused("That day cannot be right. Check its year.", field="from_on")
    return Price.objects.create(
        firm=by.firm, item=item, supplier=supplier, pence=pence, per_quantity=per_quantity, from_on=from_on, made_by=by,
        made_at=at,
    )

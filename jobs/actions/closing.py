"""Closing the books of stock at night: what the firms' own places hold is carried forward."""

from datetime import datetime, timedelta

from django.db import transaction

from jobs.models import CarriedStock, Firm, StockClosing, StockMove
from jobs.queries.balances import add_up, find_closing
from rewire.named_firm import work_for

SETTLED_AFTER = timedelta(hours=1)
"""Longer than any change takes to be written."""


def close_books(*, now: datetime) -> None:
    """Every firm's, each in a transaction of its own."""
    for firm in Firm.objects.order_by("pk").iterator():
        with work_for(firm.pk):
            close_stock(firm=firm, now=now)


@transaction.atomic
def close_stock(*, firm: Firm, now: datetime) -> StockClosing | None:
    """Carry forward what the closing before this one had seen; None when nothing ever moved or it is too soon."""
    before = StockClosing.objects.filter(firm=firm).order_by("pk").last()
    newest = StockMove.objects.filter(firm=firm).order_by("pk").last()
    if newest is None or (before and before.made_at > now - SETTLED_AFTER):
        return None
    up_to = before.seen if before else None
    held = add_up(firm, find_closing(firm), up_to.pk).quantities if up_to else {}
    closing = StockClosing.objects.create(firm=firm, up_to=up_to, seen=newest, made_at=now)
    CarriedStock.objects.bulk_create(
        CarriedStock(firm=firm, closing=closing, item_id=item, place_id=place, drum_id=drum, quantity=quantity)
        for (item, place, drum), quantity in held.items()
    )
    StockClosing.objects.filter(firm=firm, pk__lt=before.pk if before else closing.pk).delete()
    return closing

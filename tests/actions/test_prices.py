from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, transaction

from jobs.actions.permission import Refused
from jobs.actions.prices import add_price
from jobs.models import Price
from tests.factories import NOW, make_crew_user, make_supplier
from tests.stores import make_store

pytestmark = pytest.mark.django_db


def add(store, by=None, **told):
    about = {"item": store.box, "pence": 890, "per_quantity": Decimal(10), "from_on": date(2027, 1, 4)} | told
    return add_price(**about, by=by or store.office, at=NOW)


def test_prices_are_added_and_earlier_ones_stay(store):
    add(store)
    add(store, pence=950, from_on=date(2027, 2, 1))
    assert list(Price.objects.values_list("pence", flat=True)) == [890, 950]


def test_a_price_cannot_be_changed_afterwards(store):
    price = add(store)
    with pytest.raises(DatabaseError), transaction.atomic():
        Price.objects.filter(pk=price.pk).update(pence=1)


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"pence": 10_000_000}, "pounds"), ({"per_quantity": Decimal(0)}, "per_quantity"),
        ({"from_on": date(1227, 1, 1)}, "from_on"),
    ],
)
def test_a_slip_of_the_hand_is_refused(store, told, field):
    with pytest.raises(Refused) as refused:
        add(store, **told)
    assert refused.value.field == field


def test_crew_and_other_firms_are_kept_out(store):
    with pytest.raises(PermissionDenied):
        add(store, by=make_crew_user(store.person))
    with pytest.raises(PermissionDenied):
        add(store, supplier=make_supplier(make_store("Other Electrics").firm))

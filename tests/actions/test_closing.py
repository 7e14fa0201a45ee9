from datetime import timedelta
from decimal import Decimal

import pytest

from jobs.actions.closing import SETTLED_AFTER, close_stock
from jobs.models import CarriedStock, Location, StockClosing, StockMove
from jobs.queries.balances import OWN_KINDS, load_balances, load_own_balances
from tests.factories import NOW, make_drum, make_firm, make_item, make_job, make_location, make_move

pytestmark = pytest.mark.django_db


@pytest.fixture
def firm():
    return make_firm()


@pytest.fixture
def box(firm):
    return make_item(firm, "box")


@pytest.fixture
def places(firm):
    fitted = make_location(firm, "fitted", job=make_job(firm))
    return {"supplier": make_location(firm, "supplier"), "unit": make_location(firm), "van": make_location(firm, "van"),
            "fitted": fitted}


@pytest.fixture
def moves(box, places):
    make_move(box, places["supplier"], places["unit"], 20)
    make_move(box, places["unit"], places["van"], 8)
    make_move(box, places["van"], places["fitted"], 3)


def nights(firm, count: int) -> None:
    for night in range(count):
        close_stock(firm=firm, now=NOW + timedelta(days=night))


def is_as_added_up(firm) -> bool:
    """Whether what the own places hold is what the sum of all moves says."""
    own = set(Location.objects.filter(firm=firm, kind__in=OWN_KINDS).values_list("pk", flat=True))
    whole = {spot: held for spot, held in load_balances(firm).quantities.items() if spot.place in own}
    return dict(load_own_balances(firm).quantities) == whole


@pytest.mark.parametrize("count", [0, 1, 2, 5])
def test_own_balances_are_the_sum_of_all_moves_when_the_books_were_closed(firm, box, places, moves, count):
    nights(firm, count)
    make_move(box, places["unit"], places["van"], 2)
    make_move(box, places["van"], places["fitted"], 1)
    assert is_as_added_up(firm)
    assert load_own_balances(firm).loose(box.pk, places["van"].pk) == Decimal(6)


def test_only_moves_since_are_added_up_when_the_books_were_closed_twice(firm, box, places, moves):
    nights(firm, 2)
    assert StockClosing.objects.latest("pk").up_to == StockMove.objects.latest("pk")
    assert {row.quantity for row in CarriedStock.objects.all()} == {Decimal(12), Decimal(5)}


def test_a_move_that_was_on_its_way_counts_when_the_books_are_closed_meanwhile(firm, box, places, moves):
    """Its number was given before the newest was seen, and it is in the database only after the books were closed."""
    late = make_move(box, places["supplier"], places["unit"], 5)
    make_move(box, places["supplier"], places["unit"], 1)
    fields = {field.attname: getattr(late, field.attname) for field in StockMove._meta.concrete_fields}
    late.delete()
    nights(firm, 1)
    StockMove.objects.create(**fields)
    close_stock(firm=firm, now=NOW + timedelta(days=1))
    assert is_as_added_up(firm)


def test_nothing_is_closed_when_it_was_a_moment_ago(firm, moves):
    nights(firm, 1)
    assert close_stock(firm=firm, now=NOW + SETTLED_AFTER / 2) is None


def test_nothing_is_closed_when_nothing_ever_moved(firm):
    assert close_stock(firm=firm, now=NOW) is None


def test_metres_on_a_drum_are_carried_when_the_books_are_closed(firm, places):
    cable = make_item(firm, "cable", "metre")
    drum = make_drum(cable, "D1")
    StockMove.objects.create(
        firm=firm, item=cable, drum=drum, cable_metres=100, moved_from=places["supplier"], moved_to=places["unit"],
        reason="receive", made_at=NOW,
    )
    nights(firm, 3)
    assert is_as_added_up(firm)
    assert {row.drum for row in CarriedStock.objects.all()} == {drum}


def test_only_the_last_two_closings_stay(firm, moves):
    nights(firm, 6)
    assert StockClosing.objects.count() == 2


def test_items_asked_for_are_told_when_the_books_were_closed(firm, box, places, moves):
    other = make_item(firm, "clip")
    make_move(other, places["supplier"], places["unit"], 50)
    nights(firm, 2)
    assert {spot.item for spot in load_own_balances(firm, [box.pk]).quantities} == {box.pk}

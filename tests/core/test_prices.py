from datetime import date
from decimal import Decimal

import pytest

from jobs.core.prices import Price, PriceBook

JANUARY, MARCH, MAY = date(2027, 1, 4), date(2027, 3, 1), date(2027, 5, 3)
OURS, OTHERS = 7, 8


def test_the_price_of_a_day_is_the_latest_not_after_it():
    book = PriceBook([Price(1, 1000, Decimal(10), MARCH), Price(1, 900, Decimal(10), JANUARY)])
    assert [book.price_on(1, on).pence for on in (JANUARY, date(2027, 2, 28), MARCH, MAY)] == [900, 900, 1000, 1000]


def test_there_is_no_price_before_the_first():
    assert PriceBook([Price(1, 900, Decimal(1), MARCH)]).price_on(1, JANUARY) is None


def test_the_last_written_stands_when_a_day_has_two():
    book = PriceBook([Price(1, 900, Decimal(1), MARCH, number=1), Price(1, 950, Decimal(1), MARCH, number=2)])
    assert book.price_on(1, MAY).pence == 950


def test_the_usual_suppliers_price_goes_before_a_later_one_of_others():
    book = PriceBook([Price(1, 900, Decimal(1), JANUARY, OURS), Price(1, 500, Decimal(1), MARCH, OTHERS)], {1: OURS})
    assert (book.price_on(1, MAY).pence, book.price_on(1, MAY, OTHERS).pence) == (900, 500)


def test_anothers_price_counts_when_the_usual_supplier_has_none():
    assert PriceBook([Price(1, 500, Decimal(1), MARCH, OTHERS)], {1: OURS}).price_on(1, MAY).pence == 500


@pytest.mark.parametrize(
    ("quantity", "pence", "per", "cost"),
    [("38.5", 7160, 100, 2757), ("3", 195, 100, 6), ("1", 1, 2, 1), ("-1", 1, 2, -1), ("0.33", 100, 3, 11)],
)
def test_pence_are_rounded_once_half_away_from_nought(quantity, pence, per, cost):
    """By hand: 38.5 m at £71.60 for 100 m is 2,756.6 p; half a penny goes up."""
    assert Price(1, pence, Decimal(per), JANUARY).cost(Decimal(quantity)) == cost

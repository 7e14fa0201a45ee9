from decimal import Decimal

import pytest

from jobs.core.figures import amount, apart, plain


@pytest.mark.parametrize(
    ("value", "places", "words"),
    [
        ("2.50", 3, "2.5"), ("100", 3, "100"), ("0.0004", 3, "0"), ("-0.0004", 3, "0"), ("0.125", 2, "0.12"),
        ("1E+25", 3, "1" + 25 * "0"),
    ],
)
def test_figure_is_written_without_idle_noughts_when_it_is_plain(value, places, words):
    assert plain(Decimal(value), places) == words


def test_thousands_stand_apart_when_a_figure_is_long():
    assert (apart(Decimal("1250.50")), apart(Decimal("-1000"))) == ("1,250.5", "-1,000")


@pytest.mark.parametrize(("is_cable", "words"), [(True, "34.5 m"), (False, "34.5")])
def test_metres_are_said_when_the_item_is_cable(is_cable, words):
    assert amount(Decimal("34.50"), is_cable=is_cable) == words

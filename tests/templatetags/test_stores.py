from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from jobs.core.cut_list import Cut, Length, Run
from jobs.core.netting import Requirement, Shortage
from jobs.models import Item, Person, User, WorkPackage
from jobs.queries.stock import ShortageRow
from jobs.templatetags import stores

NOW = datetime(2027, 1, 12, 9, 30, tzinfo=UTC)


def shortage(latest_order_at: datetime | None) -> ShortageRow:
    short = Shortage(Requirement(1, 2, Decimal(8), None), Decimal(8), latest_order_at, date(2027, 1, 13))
    return ShortageRow(Item(), WorkPackage(), short, ZoneInfo("Europe/London"))


@pytest.mark.parametrize(
    ("quantity", "words"), [("12.00", "12"), ("12.50", "12.5"), ("1170", "1,170"), ("100", "100"), ("0", "0"), ("-3", "-3")]
)
def test_noughts_that_say_nothing_are_left_out(quantity, words):
    assert stores.plain(Decimal(quantity)) == words


@pytest.mark.parametrize(("unit", "words"), [("piece", "34"), ("metre", "34 m")])
def test_amount_has_the_items_unit(unit, words):
    assert stores.amount(Decimal("34.00"), Item(unit=unit)) == words


@pytest.mark.parametrize(
    ("at", "words"),
    [
        (datetime(2027, 1, 13, 19, 0), "order by Wed 13 Jan, 19:00"),
        (datetime(2027, 1, 11, 19, 0), "too late for that day: ordered now it comes Wed 13 Jan"),
        (datetime(2027, 1, 14, 0, 0), "fetch it before Thu 14 Jan"),
        (None, "no day planned yet"),
    ],
)
def test_moment_to_order_is_said_in_words(at, words):
    assert stores.order_by(shortage(at), NOW) == words


def test_person_is_named_before_the_name_they_sign_in_with():
    assert stores.who(User(username="crew-1", person=Person(name="Ada Wren"))) == "Ada Wren"
    assert (stores.who(User(username="office")), stores.who(None)) == ("office", "")


def test_runs_lie_one_after_the_other_on_their_drum():
    runs = (Run("R1", Decimal(50)), Run("R2", Decimal(25)))
    assert stores.cut_parts(Cut(Length("D1", Decimal(100)), runs)) == [(0, 500), (500, 250)]

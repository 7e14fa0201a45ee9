from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from jobs.core import stock
from jobs.core.stock import Balances, Move, Spot, Taking

UNIT, VAN, SITE, FITTED, SUPPLIER = 1, 2, 3, 4, 5
BOX, CABLE = 11, 12

quantities = st.integers(1, 5000).map(lambda hundredths: Decimal(hundredths) / 100)
places = st.lists(st.integers(1, 6), min_size=2, max_size=2, unique=True)
moves = st.builds(
    lambda item, quantity, ends, drum: Move(item, quantity, *ends, drum),
    st.integers(11, 13), quantities, places, st.none() | st.integers(21, 23),
)


def d(number: str) -> Decimal:
    return Decimal(number)


def balances(*spots: tuple) -> Balances:
    return Balances({Spot(*spot[:-1]): d(spot[-1]) for spot in spots})


@given(st.lists(moves, max_size=40))
def test_nothing_appears_or_vanishes_when_moves_are_folded(history):
    assert sum(stock.fold(history).quantities.values()) == 0


@given(st.lists(moves, max_size=40))
def test_each_balance_is_the_sum_of_its_moves_after_any_history(history):
    folded = stock.fold(history)
    for item, place in {(move.item, move.moved_to) for move in history}:
        came = sum(move.quantity for move in history if (move.item, move.moved_to) == (item, place))
        went = sum(move.quantity for move in history if (move.item, move.moved_from) == (item, place))
        assert folded.at(item, place) == came - went


@given(st.lists(moves, max_size=20), st.randoms())
def test_order_does_not_matter_when_moves_are_folded(history, random):
    shuffled = random.sample(history, len(history))
    assert stock.fold(shuffled).quantities == stock.fold(history).quantities


def test_drum_keeps_its_metres_when_it_is_moved_and_cut():
    history = [
        Move(CABLE, d("100"), SUPPLIER, UNIT, 21),
        Move(CABLE, d("100"), UNIT, SITE, 21),
        Move(CABLE, d("34.50"), SITE, FITTED, 21),
    ]
    assert stock.fold(history).drums([UNIT, SITE]) == [(Spot(CABLE, SITE, 21), d("65.50"))]


def test_debt_is_named_when_more_was_taken_than_booked_in():
    folded = stock.fold([Move(BOX, d("3"), VAN, FITTED)])
    assert folded.negative([UNIT, VAN, SITE]) == [(Spot(BOX, VAN), d("-3"))]


def test_places_are_tried_in_order_when_pieces_are_taken():
    held = balances((BOX, VAN, "2"), (BOX, UNIT, "40"))
    assert stock.take_pieces(held, BOX, d("5"), [VAN, SITE, UNIT]) == [
        Taking(Spot(BOX, VAN), d("2")), Taking(Spot(BOX, UNIT), d("3")),
    ]


def test_first_place_owes_the_rest_when_nobody_has_enough():
    held = balances((BOX, UNIT, "1"))
    assert stock.take_pieces(held, BOX, d("4"), [VAN, UNIT]) == [
        Taking(Spot(BOX, UNIT), d("1")), Taking(Spot(BOX, VAN), d("3")),
    ]


def test_one_drum_gives_all_when_it_holds_enough():
    held = balances((CABLE, VAN, 21, "80"), (CABLE, VAN, 22, "12"), (CABLE, VAN, 23, "9"))
    assert stock.take_cable(held, CABLE, d("10"), [VAN, UNIT]) == [Taking(Spot(CABLE, VAN, 22), d("10"))]


def test_longest_drums_go_first_when_no_drum_holds_enough():
    held = balances((CABLE, VAN, 21, "8"), (CABLE, VAN, 22, "12"))
    assert stock.take_cable(held, CABLE, d("15"), [VAN, UNIT]) == [
        Taking(Spot(CABLE, VAN, 22), d("12")), Taking(Spot(CABLE, VAN, 21), d("3")),
    ]


def test_metres_are_owed_loose_when_no_drum_is_known():
    assert stock.take_cable(Balances({}), CABLE, d("15"), [VAN]) == [Taking(Spot(CABLE, VAN), d("15"))]

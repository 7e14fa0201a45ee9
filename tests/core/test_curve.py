from datetime import date, timedelta
from decimal import Decimal

from jobs.core import curve

MON = date(2027, 1, 11)


def draw(*balances: int, opening: int = 10, minimum: int = 0) -> curve.Curve:
    steps = [(MON + timedelta(days=number + 1), Decimal(balance)) for number, balance in enumerate(balances)]
    return curve.draw(MON, Decimal(opening), steps, Decimal(minimum))


def test_line_runs_level_when_nothing_changes():
    assert draw().points == f"56.0,{curve.TOP}.0 628.0,{curve.TOP}.0"


def test_line_steps_down_on_the_day_stock_is_taken():
    ys = [float(point.split(",")[1]) for point in draw(4).points.split()]
    assert ys[0] == ys[1] < ys[2] == ys[3]


def test_ground_line_lies_above_the_bottom_when_stock_is_owed():
    drawn = draw(-5)
    assert (drawn.zero < drawn.bottom, drawn.dots[0][2]) == (True, True)


def test_minimum_is_drawn_only_when_there_is_one():
    assert (draw(4).minimum, draw(4, minimum=5).minimum is None) == (None, False)


def test_everything_stays_in_the_box_whatever_the_numbers():
    drawn = draw(100_000, -3000, 7, opening=0)
    points = [tuple(map(float, point.split(","))) for point in drawn.points.split()]
    assert all(0 <= x <= drawn.width and 0 <= y <= drawn.height for x, y in points)


def test_days_do_not_run_into_each_other_when_there_are_many():
    ticks = [tick.at for tick in draw(*range(60)).days]
    assert min(second - first for first, second in zip(ticks, ticks[1:], strict=False)) >= 64

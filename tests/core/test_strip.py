from datetime import date, timedelta

import pytest

from jobs.core.slots import Slot
from jobs.core.stages import Half
from jobs.core.strip import Bar, Mark, lay_out_strip

MONDAY = date(2027, 1, 11)
AREAS = ("Ground floor", "First floor")


def slot(first: int, last: int, starts: Half = Half.MORNING, ends: Half = Half.AFTERNOON) -> Slot:
    """From day `first` to day `last`, counted from the Monday."""
    return Slot(MONDAY + timedelta(days=first), starts, MONDAY + timedelta(days=last), ends)


def bar(first: int, last: int, lane: str = AREAS[0], **told: object) -> Bar:
    return Bar(lane, "first_fix", "First fix", slot(first, last), **told)


def mark(first: int, last: int, lane: str = AREAS[0], label: str = "Plasterer") -> Mark:
    return Mark(lane, label, "Asked", slot(first, last))


def lay_out(*things: Bar | Mark, today: date = MONDAY):
    bars = [thing for thing in things if isinstance(thing, Bar)]
    marks = [thing for thing in things if isinstance(thing, Mark)]
    return lay_out_strip(AREAS, bars, marks, today)


def test_there_is_no_strip_when_nothing_has_a_date() -> None:
    assert lay_out() is None


def test_the_strip_runs_from_monday_to_sunday_when_work_starts_midweek() -> None:
    strip = lay_out(bar(2, 8))
    assert [week.on for week in strip.weeks] == [MONDAY, MONDAY + timedelta(days=7)]


def test_a_bar_is_as_wide_as_its_days() -> None:
    strip = lay_out(bar(0, 3))
    assert strip.bars[0].width == pytest.approx(4 * strip.day_width)


def test_a_bar_is_half_a_day_wide_when_it_takes_one_session() -> None:
    strip = lay_out(Bar(AREAS[0], "test", "Test", slot(1, 1, Half.AFTERNOON, Half.AFTERNOON)))
    assert strip.bars[0].width == pytest.approx(strip.day_width / 2)


def test_bars_of_one_lane_share_a_row_when_they_follow_each_other() -> None:
    first, second = lay_out(bar(0, 1), bar(2, 3)).bars
    assert first.y == second.y


def test_bars_of_one_lane_stand_in_two_rows_when_they_overlap() -> None:
    first, second = lay_out(bar(0, 3), bar(2, 4)).bars
    assert second.y > first.y


def test_marks_stand_below_the_bars_of_their_lane_and_above_the_next_lane() -> None:
    strip = lay_out(bar(0, 3), mark(5, 6), bar(0, 3, AREAS[1]))
    assert strip.bars[0].y < strip.marks[0].y < strip.lanes[1].y < strip.bars[1].y


def test_marks_stand_in_two_rows_when_their_labels_would_touch() -> None:
    first, second = lay_out(bar(0, 200), mark(5, 5), mark(6, 6)).marks
    assert second.y > first.y


def test_a_lane_is_left_out_when_nothing_is_in_it() -> None:
    assert [lane.name for lane in lay_out(mark(0, 0, AREAS[1])).lanes] == [AREAS[1]]


@pytest.mark.parametrize(("days", "is_shown"), [(-1, False), (0, True), (6, True), (7, False)])
def test_today_is_shown_only_when_it_lies_within_the_weeks(days: int, is_shown: bool) -> None:
    assert (lay_out(bar(2, 3), today=MONDAY + timedelta(days=days)).today_x is not None) == is_shown


def test_the_part_done_of_a_bar_never_leaves_it() -> None:
    half, over = lay_out(bar(0, 1, done_share=0.5), bar(2, 3, done_share=1.2)).bars
    assert (half.done_width, over.done_width) == (pytest.approx(half.width / 2, abs=0.1), over.width)


def test_a_label_is_left_out_when_the_next_bar_is_too_near() -> None:
    near, last = lay_out(bar(0, 0), bar(1, 40)).bars
    assert (near.shows_label, last.shows_label) == (False, True)


def test_a_long_strip_keeps_days_wide_enough_and_thins_its_week_labels() -> None:
    strip = lay_out(bar(0, 300))
    assert strip.day_width >= 6
    assert 0 < sum(week.shows_label for week in strip.weeks) < len(strip.weeks)


def test_everything_drawn_lies_inside_the_strip() -> None:
    strip = lay_out(bar(0, 60), mark(60, 60, label="Isolator fitted at the meter"))
    assert strip.marks[0].x + 8 < strip.width
    assert max(placed.y for placed in strip.marks) + strip.bar_height < strip.height

"""Histories of several phones on one line, checked against a plain model of what each person saw."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from uuid import UUID
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.core.ticks import LONGEST_WAIT, Mark, correct_time, fold

AT = datetime(2027, 1, 12, 9, 30, tzinfo=UTC)


def tick(op_id: str, share: str = "1", *, replaces: tuple[str, ...] = (), minutes: int = 0) -> Mark:
    return Mark(op_id, AT + timedelta(minutes=minutes), share=Decimal(share), replaces=frozenset(replaces))


def untick(op_id: str, *seen: str) -> Mark:
    return Mark(op_id, AT, replaces=frozenset(seen))


def test_line_is_not_begun_when_there_are_no_marks():
    assert fold([]).share == 0


def test_line_is_done_when_ticked():
    assert fold([tick("a")]).share == 1


def test_line_is_open_again_when_the_tick_seen_is_taken_back():
    assert fold([tick("a"), untick("b", "a")]).share == 0


def test_line_stays_done_when_another_phone_ticked_what_the_untick_did_not_see():
    standing = fold([tick("a"), tick("c"), untick("b", "a")])

    assert standing.share == 1
    assert standing.marks == {"c"}


def test_untick_counts_when_it_arrives_before_its_tick():
    assert fold([untick("b", "a"), tick("a")]).share == 0


def test_share_can_go_down_when_the_mark_names_what_it_replaces():
    assert fold([tick("a", "0.75"), tick("b", "0.5", replaces=("a",))]).share == Decimal("0.5")


def test_larger_share_counts_when_two_phones_did_part():
    assert fold([tick("a", "0.5"), tick("b", "0.25")]).share == Decimal("0.5")


def test_earliest_counts_when_two_phones_ticked_alike():
    assert fold([tick("a", minutes=5), tick("b", minutes=1)]).last.op_id == "b"


def test_line_is_settled_without_work_when_not_needed_here():
    standing = fold([Mark("a", AT, not_needed="No loft hatch")])

    assert (standing.share, standing.settled_share, standing.not_needed) == (0, 1, "No loft hatch")


def test_work_done_outweighs_not_needed_when_both_stand():
    standing = fold([Mark("a", AT, not_needed="Customer changed their mind"), tick("b", "0.5")])

    assert (standing.settled_share, standing.not_needed) == (Decimal("0.5"), "")


PHONES = st.integers(0, 2)
ACTS = st.sampled_from(["tick", "part", "untick", "not_needed", "meet"])


@st.composite
def histories(draw: st.DrawFn) -> tuple[list[Mark], set[str]]:
    """What three phones did, each knowing its own marks and what it met; with the ids that nobody took back."""
    known: list[set[str]] = [set(), set(), set()]
    everything: list[Mark] = []
    for number, (phone, act) in enumerate(draw(st.lists(st.tuples(PHONES, ACTS), max_size=25))):
        if act == "meet":
            known[phone] |= set().union(*known)
            continue
        mark = _mark(number, act, frozenset(known[phone]), skew=timedelta(days=phone * 3 - 3))
        everything.append(mark)
        known[phone] |= {mark.op_id}
    taken_back = {op_id for mark in everything for op_id in mark.replaces}
    standing = {mark.op_id for mark in everything if mark.stands_for_something} - taken_back
    return everything, standing


def _mark(number: int, act: str, seen: frozenset[str], skew: timedelta) -> Mark:
    op_id, at = str(UUID(int=number)), AT + timedelta(minutes=number) + skew
    return {
        "tick": Mark(op_id, at, share=Decimal(1)),
        "part": Mark(op_id, at, share=Decimal("0.5"), replaces=seen),
        "untick": Mark(op_id, at, replaces=seen),
        "not_needed": Mark(op_id, at, not_needed="Boxed in", replaces=seen),
    }[act]


@settings(max_examples=300)
@given(histories(), st.randoms(use_true_random=False))
def test_nothing_is_lost_or_doubled_when_marks_are_shuffled_and_repeated(history, random):
    marks, standing = history
    arrived = marks + random.choices(marks, k=len(marks)) if marks else []
    random.shuffle(arrived)

    assert fold(arrived) == fold(marks)
    assert fold(arrived).marks == standing


@given(st.integers(-3 * 86400, 3 * 86400), st.integers(0, 13 * 86400))
def test_wrong_phone_clock_cancels_when_it_is_wrong_all_along(skew_seconds, wait_seconds):
    skew, wait = timedelta(seconds=skew_seconds), timedelta(seconds=wait_seconds)

    assert correct_time(received_at=AT, sent_at=AT + skew, device_at=AT + skew - wait) == AT - wait


def test_time_is_held_to_the_longest_wait_when_the_phone_thinks_it_is_2019():
    device_at = datetime(2019, 1, 1, tzinfo=UTC)

    assert correct_time(received_at=AT, sent_at=AT, device_at=device_at) == AT - LONGEST_WAIT


def test_time_is_that_of_receipt_when_the_phone_clock_was_put_back():
    assert correct_time(received_at=AT, sent_at=AT, device_at=AT + timedelta(days=3)) == AT


def test_wait_is_in_real_hours_when_the_clocks_go_back_in_between():
    london = ZoneInfo("Europe/London")
    device_at = datetime(2027, 10, 31, 1, 30, tzinfo=london)  # still summer time
    sent_at = datetime(2027, 10, 31, 1, 30, tzinfo=london, fold=1)

    assert correct_time(received_at=AT, sent_at=sent_at, device_at=device_at) == AT - timedelta(hours=1)

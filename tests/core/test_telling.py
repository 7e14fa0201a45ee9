from datetime import date

from jobs.core.planning.plan import CauseKind
from jobs.core.slots import Slot
from jobs.core.stages import Half
from jobs.core.telling import GO_AHEAD_FOLLOWS, Change, headline, tell_days, tell_visit

MONDAY, WEDNESDAY = date(2027, 3, 1), date(2027, 3, 3)
ON_MONDAY = Slot(MONDAY, Half.MORNING, MONDAY, Half.AFTERNOON)
ON_WEDNESDAY = Slot(WEDNESDAY, Half.MORNING, WEDNESDAY, Half.AFTERNOON)
WHAT = "Plastering, Mill Row"


def test_nothing_is_said_when_the_slot_is_as_told():
    assert tell_visit(WHAT, ON_MONDAY, ON_MONDAY) is None


def test_nothing_is_said_when_there_was_and_is_no_slot():
    assert tell_visit(WHAT, None, None) is None


def test_new_date_is_said_when_nothing_was_told():
    telling = tell_visit(WHAT, None, ON_MONDAY)
    assert (telling.change, telling.line) == (Change.NEW, "Plastering, Mill Row: Mon 1 March, all day.")


def test_old_and_new_dates_are_said_with_the_reason_when_a_visit_moves():
    telling = tell_visit(WHAT, ON_MONDAY, ON_WEDNESDAY, cause=CauseKind.DELIVERY)
    assert telling.line == (
        "Plastering, Mill Row: moved. Before: Mon 1 March, all day. Now: Wed 3 March, all day. Reason: materials come later."
    )


def test_no_reason_is_invented_when_the_cause_is_nobody_elses_business():
    assert "Reason" not in tell_visit(WHAT, ON_MONDAY, ON_WEDNESDAY, cause=CauseKind.FLOW).line


def test_cancellation_names_the_old_date_when_a_visit_goes():
    telling = tell_visit(WHAT, ON_MONDAY, None)
    assert (telling.change, "Mon 1 March, all day is cancelled" in telling.line) == (Change.CANCELLED, True)


def test_go_ahead_is_held_back_when_what_gets_covered_is_not_recorded():
    assert tell_visit(WHAT, None, ON_MONDAY, awaits_go_ahead=True).line.endswith(GO_AHEAD_FOLLOWS)


def test_only_changed_days_are_said_when_a_week_changes():
    told = {MONDAY: "Mill Row", WEDNESDAY: "Mill Row"}
    (telling,) = tell_days(told, {MONDAY: "Mill Row", WEDNESDAY: "Elm House"})
    assert telling.line == "Wed 3 March: now Elm House (was Mill Row)."


def test_freed_day_is_said_when_nothing_is_planned_any_more():
    (telling,) = tell_days({MONDAY: "Mill Row"}, {})
    assert (telling.change, telling.line) == (
        Change.CANCELLED, "Mon 1 March: nothing planned for you any more (was Mill Row)."
    )


def test_day_told_as_free_is_new_when_it_fills_again():
    (telling,) = tell_days({MONDAY: ""}, {MONDAY: "Mill Row"})
    assert telling.change == Change.NEW


def test_subject_names_the_thing_when_there_is_one():
    subject = "New date: Plastering, Mill Row, Mon 1 March, all day"
    assert headline([tell_visit(WHAT, None, ON_MONDAY)]) == (Change.NEW, subject)


def test_subject_counts_when_there_are_several_kinds():
    tellings = tell_days({MONDAY: "Mill Row"}, {WEDNESDAY: "Mill Row"})
    assert headline(tellings) == (Change.CHANGED, "Dates: 1 new, 1 cancelled")

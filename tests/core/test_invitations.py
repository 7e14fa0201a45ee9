from datetime import UTC, datetime, timedelta

from jobs.core.invitations import Method, Shown, Step, steps
from jobs.core.slots import Stretch

START = datetime(2027, 3, 1, 8, tzinfo=UTC)


def shown(day: int = 0, *, is_tentative: bool = True, place: str = "") -> Shown:
    starts_at = START + timedelta(days=day)
    return Shown(Stretch(starts_at, starts_at + timedelta(hours=4), False), is_tentative, "Plastering", "", place)


def test_nothing_is_sent_when_calendars_show_it_already():
    assert steps([shown(), shown(3)], [shown(), shown(3)]) == []


def test_every_run_is_asked_for_when_nothing_stands():
    assert steps([], [shown(), shown(3)]) == [Step(1, Method.REQUEST, shown()), Step(2, Method.REQUEST, shown(3))]


def test_only_the_changed_run_is_sent_when_one_changes():
    assert steps([shown(), shown(3)], [shown(), shown(4)]) == [Step(2, Method.REQUEST, shown(4))]


def test_update_is_sent_when_only_the_status_or_the_place_changes():
    assert steps([shown()], [shown(is_tentative=False)]) == [Step(1, Method.REQUEST, shown(is_tentative=False))]
    assert steps([shown()], [shown(place="4 Mill Row")])[0].method == Method.REQUEST


def test_run_is_called_off_as_it_was_shown_when_it_falls_away():
    assert steps([shown(), shown(3)], [shown()]) == [Step(2, Method.CANCEL, shown(3))]


def test_run_is_asked_for_afresh_when_it_was_called_off_before():
    assert steps([None], [shown()]) == [Step(1, Method.REQUEST, shown())]


def test_everything_is_called_off_when_nothing_is_wanted():
    assert steps([shown(), None, shown(3)], []) == [Step(1, Method.CANCEL, shown()), Step(3, Method.CANCEL, shown(3))]

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from jobs.core.events import CalendarEvent, Order, Relation

EIGHT = datetime(2027, 1, 12, 8, tzinfo=UTC)


def make_event(**fields: object) -> CalendarEvent:
    sensible = {
        "uid": "a-1", "sequence": 0, "revised_at": EIGHT, "starts": EIGHT, "ends": EIGHT + timedelta(hours=4),
        "summary": "First fix",
    }
    return CalendarEvent(**sensible | fields)


def test_event_is_all_day_when_it_has_days():
    assert make_event(starts=date(2027, 1, 12), ends=date(2027, 1, 13)).is_all_day


def test_event_is_timed_when_it_has_moments():
    assert not make_event().is_all_day


@pytest.mark.parametrize(
    "fields",
    [
        {"ends": EIGHT},
        {"ends": EIGHT - timedelta(hours=1)},
        {"starts": date(2027, 1, 12), "ends": date(2027, 1, 12)},
        {"starts": date(2027, 1, 12)},
        {"ends": date(2027, 1, 13)},
        {"starts": datetime(2027, 1, 12, 8)},
        {"starts": datetime(2027, 7, 12, 8, tzinfo=ZoneInfo("Europe/London")), "ends": datetime(2027, 7, 13, tzinfo=UTC)},
        {"revised_at": datetime(2027, 1, 12)},
        {"sequence": -1},
        {"uid": ""},
        {"uid": "two words"},
        {"uid": "a\r\nX-MINE:1"},
        {"uid": "a" * 121},
        {"web_address": "https://firm.example/\r\nX-MINE:1"},
        {"web_address": "https://firm.example/\x00"},
    ],
    ids=str,
)
def test_event_is_refused_when_no_calendar_could_show_it_truly(fields):
    with pytest.raises(ValueError):
        make_event(**fields)


@pytest.mark.parametrize("fields", [{"uid": ""}, {"uid": "a b"}, {"uid": "a-1", "gap_days": -1}])
def test_relation_is_refused_when_no_calendar_could_hold_it(fields):
    with pytest.raises(ValueError, match=r"UID|gap"):
        Relation(Order.FINISH_TO_START, **fields)

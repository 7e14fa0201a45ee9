"""RFC 9253 (relations between calendar objects), sections 4 and 6.2, as the icalendar package quotes them."""

from datetime import UTC, date, datetime, timedelta

import pytest
from icalendar import Event

from jobs.calendars.feed import event_text
from jobs.core.events import CalendarEvent, Order, Relation


def written(*relations: Relation) -> Event:
    event = CalendarEvent(
        uid="paint", sequence=0, revised_at=datetime(2027, 1, 12, tzinfo=UTC), starts=date(2027, 1, 13),
        ends=date(2027, 1, 14), summary="Paint the room", relations=relations,
    )
    return Event.from_ical(event_text(event))


def test_carpet_waits_a_day_for_the_paint_when_it_has_to_dry():
    """Section 6.2: Task-A, “paint the room”, is related to Task-B, “lay the carpets”, by FINISHTOSTART with a gap of one day."""
    relation = written(Relation(Order.FINISH_TO_START, "carpet", 1))["RELATED-TO"]
    assert (str(relation), relation.params["RELTYPE"], relation.GAP) == ("carpet", "FINISHTOSTART", timedelta(days=1))


def test_no_gap_is_written_when_nothing_lies_between():
    """Section 6.2: GAP may be specified; it need not be."""
    assert "GAP" not in written(Relation(Order.FINISH_TO_START, "carpet"))["RELATED-TO"].params


@pytest.mark.parametrize("order", Order)
def test_name_of_a_relation_is_one_of_the_standards(order):
    """Section 4: the four temporal relation types."""
    assert order in {"FINISHTOSTART", "FINISHTOFINISH", "STARTTOFINISH", "STARTTOSTART"}
    assert written(Relation(order, "carpet"))["RELATED-TO"].params["RELTYPE"] == order

"""Every feed unrolled by recurring-ical-events 3.8, as end users' programs show a span of days: nothing more, nothing less."""

from datetime import date

import pytest
import recurring_ical_events
from icalendar import Calendar, Event

from tests.readers.seen import Seen, in_words
from tests.readers.world import FEEDS

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def shown(text: str) -> list[Seen]:
    found = recurring_ical_events.of(Calendar.from_ical(text)).between(date(2027, 1, 1), date(2028, 12, 31))
    return sorted(map(_seen, found))


def _seen(event: Event) -> Seen:
    return Seen(
        uid=str(event["UID"]), sequence=int(event["SEQUENCE"]), starts=in_words(event.start), ends=in_words(event.end),
        summary=str(event["SUMMARY"]), status=str(event["STATUS"]), place=str(event.get("LOCATION", "")),
    )


@pytest.mark.parametrize("name", FEEDS)
def test_feed_shows_each_event_once_when_a_span_of_days_is_unrolled(world, name):
    assert shown(world.feeds[name].text) == world.feeds[name].meant


def test_every_message_shows_one_event_when_its_days_are_unrolled(world):
    assert [shown(each.text) for each in world.messages] == [each.meant for each in world.messages]

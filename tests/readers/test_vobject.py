"""Every calendar we write, read by vobject 0.9.9, which several CalDAV servers use: it says what the database says."""

import pytest
import vobject

from tests.readers.seen import Seen, in_words
from tests.readers.world import FEEDS, Text

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def read(text: str) -> list[Seen]:
    return sorted(map(_seen, vobject.readOne(text).vevent_list))


def _seen(event: object) -> Seen:
    return Seen(
        uid=event.uid.value, sequence=int(event.sequence.value), starts=in_words(event.dtstart.value),
        ends=in_words(event.dtend.value), summary=event.summary.value, status=event.status.value,
        place=event.location.value if hasattr(event, "location") else "",
    )


@pytest.mark.parametrize("name", FEEDS)
def test_feed_reads_as_it_was_meant_when_clocks_change(world, name):
    assert read(world.feeds[name].text) == world.feeds[name].meant


def test_every_message_reads_as_it_was_meant_when_dates_come_move_and_go(world):
    assert [read(each.text) for each in world.messages] == [each.meant for each in world.messages]
    assert [vobject.readOne(each.text).method.value for each in world.messages] == [each.name for each in world.messages]


def test_names_read_back_when_they_hold_quotes_and_commas(world):
    event = vobject.readOne(world.messages[0].text).vevent
    assert event.organizer.params["CN"] == ["Hazel, Lane; Electrics"]


@pytest.mark.parametrize("name", FEEDS)
def test_each_event_reminds_when_the_feed_asks_for_it(world, name):
    alarms = [event.valarm.action.value for event in _events(world.feeds[name]) if hasattr(event, "valarm")]
    assert alarms == ["DISPLAY"] * world.feeds[name].alarms


def _events(feed: Text) -> list:
    return vobject.readOne(feed.text).vevent_list

"""Every calendar we write, read by ical.js: it says what the database says, at the same clock times."""

import pytest

from tests.readers.ical_js import clock_times, read, seen
from tests.readers.seen import clock_time
from tests.readers.world import FEEDS, World, read_feeds

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.fixture
def shown(world: World) -> dict[str, dict]:
    return read_feeds(world, read)


@pytest.mark.parametrize("name", FEEDS)
def test_feed_reads_as_it_was_meant_when_clocks_change(world, shown, name):
    assert sorted(map(seen, shown[name]["events"])) == world.feeds[name].meant


@pytest.mark.parametrize("name", FEEDS)
def test_clock_times_are_those_of_london_when_the_feed_describes_the_zone(shown, name):
    """By its own arithmetic over our VTIMEZONE, beside zoneinfo's over the time zone database."""
    for event in shown[name]["events"]:
        assert set(clock_times(event)) <= {clock_time(words) for words in (seen(event).starts, seen(event).ends)}


def test_every_message_reads_as_it_was_meant_when_dates_come_move_and_go(world):
    found = read(each.text for each in world.messages)
    assert [sorted(map(seen, each["events"])) for each in found] == [each.meant for each in world.messages]
    assert [each["method"] for each in found] == [each.name for each in world.messages]


@pytest.mark.parametrize(("name", "minutes"), [("person", 60), ("firm", 15)])
def test_each_event_reminds_when_the_feed_asks_for_it(world, shown, name, minutes):
    """Whole days remind at six the evening before."""
    alarms = [seconds for event in shown[name]["events"] for seconds in event["alarms"]]
    assert (len(alarms), set(alarms)) == (world.feeds[name].alarms, {-60 * minutes, -6 * 3600})


def test_relations_read_as_written_when_the_feed_says_what_waits_for_what(world, shown):
    found = {event["uid"]: event["relations"] for event in shown["job"]["events"] if event["relations"]}
    waits = world.feeds["job"].waits
    assert found == {uid: [[other, how, f"P{days}D" if days else ""] for other, how, days in waits[uid]] for uid in waits}
    assert sorted(days for each in waits.values() for _, _, days in each) == [0, 3]


@pytest.mark.parametrize("name", ["person", "trade", "firm", "customer"])
def test_no_relation_is_written_when_the_feed_does_not_say_what_waits(shown, name):
    assert not any(event["relations"] for event in shown[name]["events"])

"""Every calendar we write, read and checked by sabre/vobject: nothing is wrong, and it says what the database says."""

import pytest

from tests.readers.sabre import read, seen
from tests.readers.world import FEEDS, World, read_feeds

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.fixture
def shown(world: World) -> dict[str, dict]:
    return read_feeds(world, read)


@pytest.mark.parametrize("name", FEEDS)
def test_feed_reads_as_it_was_meant_when_clocks_change(world, shown, name):
    assert sorted(map(seen, shown[name]["events"])) == world.feeds[name].meant
    assert shown[name]["faults"] == []


def test_every_message_reads_as_it_was_meant_when_dates_come_move_and_go(world):
    found = read(each.text for each in world.messages)
    assert [sorted(map(seen, each["events"])) for each in found] == [each.meant for each in world.messages]
    assert [(each["method"], each["faults"]) for each in found] == [(each.name, []) for each in world.messages]

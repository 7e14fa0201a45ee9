"""What the readers are given is what the database holds."""

import pytest

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.mark.parametrize("name", ["trade", "person", "job"])
def test_feed_is_to_show_every_entry_that_stands_when_half_was_called_off(world, name):
    meant = {seen.uid: (seen.sequence, seen.starts, seen.ends) for seen in world.feeds[name].meant}
    assert world.held[name].items() <= meant.items()


@pytest.mark.parametrize("name", ["trade", "job"])
def test_feed_is_to_show_nothing_else_when_it_shows_no_days_away(world, name):
    assert world.held[name].keys() == {seen.uid for seen in world.feeds[name].meant}


def test_every_kind_of_message_and_event_is_there_to_be_read(world):
    assert {text.name for text in world.messages} == {"REQUEST", "CANCEL"}
    assert {seen.status for text in world.messages for seen in text.meant} == {"TENTATIVE", "CONFIRMED", "CANCELLED"}
    assert {len(text.meant) > 2 for text in world.feeds.values()} == {True}

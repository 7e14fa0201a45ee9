"""Feeds taken in by khal 0.14: its list is what the database says."""

import pytest

from tests.readers.khal import as_shown, read, seen

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.mark.parametrize("name", ["trade", "firm", "customer"])
def test_list_shows_the_feed_as_it_was_meant_when_it_was_taken_in(world, name, tmp_path):
    assert sorted(map(seen, read(world.feeds[name].text, tmp_path))) == sorted(map(as_shown, world.feeds[name].meant))

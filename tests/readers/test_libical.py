"""Every calendar we write, through libical 3.0 (Debian gir1.2-ical-3.0): its parser and its restriction check."""

import pytest

from tests.readers.libical import find_faults

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def test_nothing_is_wrong_with_any_message_or_feed_when_dates_come_move_and_go(world):
    texts = [*(each.text for each in (*world.messages, *world.feeds.values())), world.turned_down]
    assert find_faults(texts) == [[] for _ in texts]


@pytest.mark.parametrize("name", ["ORGANIZER", "ATTENDEE", "UID", "DTSTAMP"])
def test_check_finds_it_when_a_request_lacks_what_it_needs(world, name):
    lines = world.messages[0].text.replace("\r\n ", "").split("\r\n")
    broken = "\r\n".join(line for line in lines if not line.startswith(name))
    assert find_faults([broken]) != [[]]

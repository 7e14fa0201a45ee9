"""Every event of a feed put into Radicale 3.9 as an item of its own, and read back by caldav 3.6.

RFC 4791 section 4.1: an item holds one event, with the time zones it names and without METHOD.
"""

from datetime import datetime

import pytest
from caldav import Calendar as Collection
from caldav import DAVClient, Event
from icalendar import Calendar

from tests.readers.caldav_server import caldav_server
from tests.readers.seen import LONDON, Seen, in_words

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def items(text: str) -> list[str]:
    """The feed's events one by one, cut out of its text as it stands."""
    head, *events = text.split("BEGIN:VEVENT")
    return [f"{head}BEGIN:VEVENT{event.split('END:VEVENT')[0]}END:VEVENT\r\nEND:VCALENDAR\r\n" for event in events]


@pytest.fixture(scope="module")
def principal(tmp_path_factory):
    folder = tmp_path_factory.mktemp("caldav")
    with caldav_server(folder) as address, DAVClient(address, username="reader", password="any") as client:
        yield client.principal()


def put(item: str, collection: Collection) -> None:
    """As it stands; by itself the client would raise its number."""
    Event(collection.client, data=item, parent=collection).save(increase_seqno=False)


def seen(item: str) -> Seen:
    (event,) = Calendar.from_ical(item).walk("VEVENT")
    return Seen(
        uid=str(event["UID"]), sequence=int(event["SEQUENCE"]), starts=in_words(event.start), ends=in_words(event.end),
        summary=str(event["SUMMARY"]), status=str(event["STATUS"]), place=str(event.get("LOCATION", "")),
    )


@pytest.mark.parametrize("name", ["trade", "firm", "customer"])
def test_server_gives_back_what_was_meant_when_each_event_is_put_there(world, principal, name):
    collection = principal.make_calendar(name)
    for item in items(world.feeds[name].text):
        put(item, collection)
    assert sorted(seen(event.data) for event in collection.events()) == world.feeds[name].meant


def test_server_finds_the_nights_work_when_asked_for_the_night_the_clocks_go_back(world, principal):
    collection = principal.make_calendar("night")
    for item in items(world.feeds["person"].text):
        put(item, collection)
    night = datetime(2027, 10, 31, tzinfo=LONDON), datetime(2027, 10, 31, 1, 30, tzinfo=LONDON)
    found = collection.search(start=night[0], end=night[1], event=True)
    assert sorted(seen(event.data).summary for event in found) == ["Night, 2027-10-30T23:30"]

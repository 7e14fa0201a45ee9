"""Every calendar we write, read by vobject: it says what the database says."""

from zoneinfo import ZoneInfo

import pytest
import vobject

from jobs.models import CalendarEntry
from tests.readers.world import Sent, World, make_world

pytestmark = [pytest.mark.django_db, pytest.mark.once]
LONDON = ZoneInfo("Europe/London")


@pytest.fixture
def world() -> World:
    return make_world()


def read(sent: Sent) -> tuple:
    calendar = vobject.readOne(sent.text)
    event = calendar.vevent
    return (
        calendar.method.value, event.uid.value, int(event.sequence.value), event.dtstart.value, event.dtend.value,
        event.summary.value,
    )


def written(sent: Sent) -> tuple:
    row = sent.message
    starts, ends = (moment.astimezone(LONDON) for moment in (row.starts_at, row.ends_at))
    if row.is_all_day:
        starts, ends = starts.date(), ends.date()
    return row.method, str(row.invitation.uid), row.sequence, starts, ends, row.summary.replace("\x07", "")


def test_every_message_reads_as_it_was_meant_when_dates_come_move_and_go(world):
    assert [read(sent) for sent in world.sent] == [written(sent) for sent in world.sent]


def test_names_read_back_when_they_hold_quotes_and_commas(world):
    event = vobject.readOne(world.sent[0].text).vevent
    assert event.organizer.params["CN"] == ["Hazel, Lane; Electrics"]


def test_feed_holds_what_stands_when_half_was_called_off(world):
    read = {(event.uid.value, int(event.sequence.value)) for event in vobject.readOne(world.feeds[0]).vevent_list}
    standing = CalendarEntry.objects.filter(visit__isnull=False, is_gone=False)
    assert read == {(str(row.uid), row.sequence) for row in standing}
    assert CalendarEntry.objects.filter(is_gone=True).exists()

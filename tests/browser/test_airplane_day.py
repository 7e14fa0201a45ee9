"""A whole day in flight mode: hundreds of operations and forty photos, sent over a server that dies on the way."""

import time
import uuid

import pytest
from playwright.sync_api import Page, expect

from jobs.models import Photo, RoomTask, SiteOperation, Snag
from jobs.queries.centres import load_centres
from tests.browser.servers import KillableServer
from tests.browser.site_world import World, make_world, open_room, status

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OPERATIONS, PHOTOS = 300, 40

RECORD_A_DAY = """async ({ lines, point, room, operations, photos }) => {
  const user = Number(document.body.dataset.user), ids = [], last = {};
  const add = async (kind, item, value, bytes) => {
    const op_id = crypto.randomUUID(), device_at = new Date().toISOString();
    await outbox.add({ op_id, kind, item, value, device_at, user, user_name: "Priya", room: 0, words: kind }, bytes);
    ids.push(op_id);
    return op_id;
  };
  const picture = async (number) => {
    const canvas = Object.assign(document.createElement("canvas"), { width: 160, height: 120 });
    const pen = canvas.getContext("2d");
    pen.fillStyle = `hsl(${number * 9} 60% 50%)`;
    pen.fillRect(0, 0, 160, 120);
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.8));
    return blob.arrayBuffer();
  };
  const measured = (number) => ({ wall_1: "A", from_1_mm: 1000 + number, wall_2: "B", from_2_mm: 900 });
  for (let number = 0; number < operations; number += 1) {
    const line = lines[number % lines.length];
    if (number % 10 === 9) await add("snag", room, { stage: "first_fix", hours: "0.25", words: `Snag ${number}` });
    else if (number % 10 === 8) await add("measure", point, measured(number));
    else if (last[line]) { await add("untick", line, { replaces: [last[line]] }); delete last[line]; }
    else last[line] = await add("tick", line, { share: 1, replaces: [] });
    if (number % 7 === 0 && number < 7 * photos) {
      const words = { stage: "first_fix", surface: "", words: `Photo ${number}`, point: "" };
      await add("photo", room, words, await picture(number / 7));
    }
  }
  return { ids, ticked: Object.keys(last) };
}"""


@pytest.fixture
def world(transactional_db: None) -> World:
    return make_world()


def wait_for_operations(count: int) -> None:
    ends_at = time.monotonic() + 30
    while SiteOperation.objects.count() < count and time.monotonic() < ends_at:
        time.sleep(0.02)


def test_everything_of_an_airplane_day_arrives_once_when_the_server_dies_while_it_is_sent(
    phone: Page, server: KillableServer, world: World
) -> None:
    open_room(phone)
    server.kill()
    lines = {str(task.uid): task for task in RoomTask.objects.filter(room=world.room)}
    point = world.room.points.get()
    day = phone.evaluate(RECORD_A_DAY, {
        "lines": list(lines), "point": str(point.uid), "room": str(world.room.uid), "operations": OPERATIONS,
        "photos": PHOTOS,
    })

    server.start()
    phone.evaluate("dispatchEvent(new Event('online'))")
    wait_for_operations(OPERATIONS // 3)
    server.kill()
    assert 0 < SiteOperation.objects.count() < OPERATIONS + PHOTOS
    expect(status(phone)).to_contain_text("waiting for signal")
    server.start()
    phone.evaluate("dispatchEvent(new Event('online'))")

    expect(status(phone)).to_have_text("All sent", timeout=60_000)
    made = sorted(uuid.UUID(op_id) for op_id in day["ids"])
    assert sorted(SiteOperation.objects.values_list("op_id", flat=True)) == made
    assert set(SiteOperation.objects.values_list("outcome", flat=True)) == {SiteOperation.Outcome.APPLIED}
    assert (Photo.objects.count(), Snag.objects.count()) == (PHOTOS, OPERATIONS // 10)
    done = RoomTask.objects.filter(pk__in=[task.pk for task in lines.values()], done_share=1)
    assert {str(task.uid) for task in done} == set(day["ticked"])
    assert load_centres(world.room)[0].said.centre.from_1_mm == 1000 + OPERATIONS - 2

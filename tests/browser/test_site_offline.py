"""The phone page in a loft without signal: the server is killed, tabs are closed, networks lie."""

import re

import pytest
from django.utils import timezone
from playwright.sync_api import BrowserContext, Page, Route, expect

from jobs.models import Device, RoomTask, SiteOperation
from tests.browser.servers import KillableServer
from tests.browser.site_world import World, line, make_world, open_room, press, sign_in, status, wait_until_kept
from tests.factories import make_person

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def world(transactional_db: None) -> World:
    return make_world()


def test_ticks_made_while_the_server_is_dead_arrive_after_the_tab_was_closed(
    phone: Page, context: BrowserContext, server: KillableServer, world: World
) -> None:
    open_room(phone)
    server.kill()
    press(phone, "Twin socket")
    press(phone, "Ceiling light")
    expect(status(phone)).to_have_text(re.compile(r"^2 not sent, oldest \d\d:\d\d: waiting for signal$"))
    phone.close()

    again = context.new_page()
    again.goto("/site/")
    expect(again.get_by_text("2 not sent", exact=True).first).to_be_visible()
    server.start()
    again.reload()

    expect(status(again)).to_have_text("All sent")
    assert (world.share("Twin socket × 6"), world.share("Ceiling light × 2")) == (1, 1)
    assert SiteOperation.objects.count() == 2


def test_kept_room_shows_unsent_ticks_when_opened_without_a_server(
    phone: Page, server: KillableServer, world: World
) -> None:
    open_room(phone)
    server.kill()
    press(phone, "Twin socket")
    expect(status(phone)).to_contain_text("1 not sent")

    phone.reload()

    expect(line(phone, "Twin socket")).to_contain_text("done, not sent yet")
    expect(phone.locator("[data-hours-left]").first).to_have_text("6")


def test_kept_room_shows_what_the_server_acknowledged_since_it_was_kept(
    phone: Page, server: KillableServer, world: World
) -> None:
    open_room(phone)
    press(phone, "Twin socket")
    expect(status(phone)).to_have_text("All sent")
    server.kill()

    phone.reload()

    expect(line(phone, "Twin socket")).to_have_attribute("aria-pressed", "true")


def test_page_that_is_not_kept_says_so(phone: Page, server: KillableServer) -> None:
    server.kill()

    phone.goto("/site/rooms/999999/")

    expect(phone.get_by_role("heading", name="No signal here")).to_be_visible()


def test_kept_pages_hold_no_token(phone: Page) -> None:
    texts = phone.evaluate(
        """async () => {
          const pages = await caches.open("pages");
          return Promise.all((await pages.keys()).map(async (key) => (await pages.match(key)).text()));
        }"""
    )

    assert len(texts) >= 3
    assert not any("csrfmiddlewaretoken" in text for text in texts)


def test_kept_page_is_gone_after_three_days(phone: Page, server: KillableServer) -> None:
    phone.evaluate(
        """async () => {
          const pages = await caches.open("pages");
          for (const key of await pages.keys()) {
            const found = await pages.match(key), headers = new Headers(found.headers);
            headers.set("X-Kept-At", String(Date.now() - 3 * 24 * 60 * 60 * 1000));
            await pages.put(key, new Response(await found.text(), { headers }));
          }
        }"""
    )
    server.kill()

    phone.reload()

    expect(phone.get_by_role("heading", name="No signal here")).to_be_visible()


def test_tick_counts_once_when_the_answer_was_lost(phone: Page, world: World) -> None:
    open_room(phone)
    lost = []

    def lose_answer(route: Route) -> None:
        if lost:
            route.continue_()
            return
        lost.append(route.fetch())  # the server has applied it
        route.abort()

    phone.route("**/site/sync", lose_answer)
    press(phone, "Twin socket")
    expect(status(phone)).to_contain_text("waiting for signal")

    phone.evaluate("dispatchEvent(new Event('online'))")

    expect(status(phone)).to_have_text("All sent")
    assert SiteOperation.objects.count() == 1


@pytest.mark.parametrize("where", ["**/site/hello", "**/site/sync"])
def test_ticks_are_kept_when_another_network_answers_for_us(phone: Page, world: World, where: str) -> None:
    open_room(phone)
    phone.route(where, lambda route: route.fulfill(status=200, content_type="text/html", body="<h1>Free wifi</h1>"))

    press(phone, "Twin socket")

    expect(status(phone)).to_contain_text("1 not sent")
    expect(status(phone)).to_contain_text("check the wifi")
    phone.unroute(where)
    phone.evaluate("dispatchEvent(new Event('online'))")
    expect(status(phone)).to_have_text("All sent")
    assert world.share("Twin socket × 6") == 1


def test_ticks_are_kept_when_the_acknowledgement_is_for_something_else(phone: Page, world: World) -> None:
    open_room(phone)
    answer = '{"app": "rewire", "at": "2027-01-12T09:30:00Z", "answers": [{"ack": "other", "status": 200, "state": {}}]}'
    phone.route("**/site/sync", lambda route: route.fulfill(status=200, content_type="application/json", body=answer))

    press(phone, "Twin socket")

    expect(status(phone)).to_contain_text("1 not sent, oldest")


def test_ticks_arrive_with_a_fresh_token_when_the_old_one_is_useless(
    phone: Page, context: BrowserContext, world: World
) -> None:
    open_room(phone)
    context.clear_cookies(name="csrf")

    press(phone, "Twin socket")

    expect(status(phone)).to_have_text("All sent")
    assert world.share("Twin socket × 6") == 1


def test_revoked_phone_keeps_its_ticks_and_forgets_its_pages(phone: Page, world: World) -> None:
    open_room(phone)
    Device.objects.update(revoked_at=timezone.now())

    press(phone, "Twin socket")

    expect(status(phone)).to_contain_text("1 not sent")
    expect(phone.get_by_role("link", name="Sign in again")).to_be_visible()
    phone.wait_for_function("async () => !(await caches.has('pages'))")
    sign_in(phone, world)
    expect(status(phone)).to_have_text("All sent")
    assert world.share("Twin socket × 6") == 1


def test_signing_out_warns_and_keeps_what_is_not_sent(phone: Page, server: KillableServer, world: World) -> None:
    open_room(phone)
    phone.route("**/site/sync", lambda route: route.abort())
    press(phone, "Twin socket")
    expect(status(phone)).to_contain_text("1 not sent, oldest")
    expect(status(phone)).to_contain_text("waiting for signal")
    asked: list[str] = []

    phone.once("dialog", lambda dialog: (asked.append(dialog.message), dialog.accept()))
    phone.get_by_role("button", name="Sign out").click()
    phone.wait_for_url("**/sign-in/")

    assert "1 not sent" in asked[0]
    assert phone.evaluate("caches.has('pages')") is False
    phone.unroute("**/site/sync")
    sign_in(phone, world)
    expect(status(phone)).to_have_text("All sent")


def test_staying_signed_in_is_possible_when_something_is_not_sent(phone: Page, world: World) -> None:
    open_room(phone)
    phone.route("**/site/sync", lambda route: route.abort())
    press(phone, "Twin socket")
    expect(status(phone)).to_contain_text("1 not sent, oldest")
    expect(status(phone)).to_contain_text("waiting for signal")

    phone.once("dialog", lambda dialog: dialog.dismiss())
    phone.get_by_role("button", name="Sign out").click()

    expect(status(phone)).to_contain_text("1 not sent")
    assert "/site/rooms/" in phone.url


def test_ticks_of_another_person_wait_and_are_asked_about(phone: Page, server: KillableServer, world: World) -> None:
    open_room(phone)
    phone.route("**/site/sync", lambda route: route.abort())
    press(phone, "Twin socket")
    expect(status(phone)).to_contain_text("1 not sent, oldest")
    expect(status(phone)).to_contain_text("waiting for signal")
    phone.unroute("**/site/sync")
    sam = make_person(world.firm, "Sam")
    phone.context.clear_cookies()

    sign_in(phone, world, sam)

    expect(phone.locator("#outbox-notes")).to_contain_text("1 not sent by Priya")
    assert not SiteOperation.objects.exists()
    phone.get_by_role("button", name="Send them in my name").click()
    expect(status(phone)).to_have_text("All sent")
    assert RoomTask.objects.get(text="Twin socket × 6").done_by == sam


def test_a_day_without_signal_drains_in_batches(phone: Page, server: KillableServer, world: World) -> None:
    open_room(phone)
    server.kill()
    ids = phone.evaluate(
        """async (item) => {
          const ids = [...Array(60)].map(() => crypto.randomUUID());
          for (const [number, op_id] of ids.entries()) {
            const value = number % 2 ? { replaces: [ids[number - 1]] } : { share: 1, replaces: [] };
            await outbox.add({ op_id, kind: number % 2 ? "untick" : "tick", item, value, room: 0, words: "",
              device_at: new Date().toISOString(), user: Number(document.body.dataset.user), user_name: "Priya" });
          }
          return ids;
        }""",
        str(RoomTask.objects.get(text="Twin socket × 6").uid),
    )
    server.start()

    phone.evaluate("dispatchEvent(new Event('online'))")

    expect(status(phone)).to_have_text("All sent", timeout=60_000)
    assert {str(op_id) for op_id in SiteOperation.objects.values_list("op_id", flat=True)} == set(ids)
    assert world.share("Twin socket × 6") == 0


def test_limits_of_calculators_are_readable_without_signal_when_the_job_was_opened(
    phone: Page, server: KillableServer, world: World
) -> None:
    phone.goto(f"/site/jobs/{world.room.job_id}/")
    wait_until_kept(phone)
    server.kill()

    phone.get_by_role("link", name="Zones, clips, rings, bathrooms").click()
    phone.get_by_text("Zones of a bathroom").click()

    expect(phone.get_by_role("link", name="13 A sockets from the edge of zone 1, later figure: 2500 mm")).to_be_visible()
    expect(phone.get_by_text("Working out needs signal.")).to_be_visible()


def test_limits_for_joists_are_readable_without_signal_when_the_job_was_opened(
    phone: Page, server: KillableServer, world: World
) -> None:
    phone.goto(f"/site/jobs/{world.room.job_id}/")
    wait_until_kept(phone)
    server.kill()

    phone.get_by_role("link", name="Holes and notches in joists").click()

    expect(phone.get_by_text("Holes: at most ¼ of the depth")).to_be_visible()
    expect(phone.get_by_text("Checking needs signal.")).to_be_visible()

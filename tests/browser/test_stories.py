"""The three stories of the README, each told once in a real browser."""

import re
from datetime import date, timedelta

import pytest
from django.core import mail
from django.utils import timezone
from playwright.sync_api import Page, expect

from jobs.actions.devices import make_sign_in
from jobs.actions.issuing import issue_plan
from jobs.actions.links import make_link
from jobs.actions.planning import plan_again
from jobs.core.workdays import sessions_between
from jobs.models import Booking, Pin, Plan, RoomTask, SecretLink, StockMove, Visit
from jobs.queries.firm_calendar import load_calendar
from jobs.queries.links import address_path
from jobs.queries.plans import find_draft
from tests.browser.story_world import Story, let_the_planner_work, make_story
from tests.factories import PASSWORD

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def story() -> Story:
    return make_story()


@pytest.fixture
def issued(story: Story) -> Plan:
    plan_again(firm=story.office.firm, by=story.office, seconds=1, now=timezone.now())
    let_the_planner_work()
    draft = find_draft(story.office.firm)
    return issue_plan(plan=draft, version=draft.version, by=story.office, now=timezone.now())


def sign_in_office(page: Page) -> None:
    page.goto("/sign-in/")
    page.get_by_label("Name").fill("nell")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    expect(page.get_by_role("heading", name="This week")).to_be_visible()


def working_day_after_a_week(story: Story) -> date:
    today = timezone.localdate()
    weeks = sessions_between(load_calendar(story.office.firm, today), today, today + timedelta(days=21))
    return weeks[weeks.first_on_or_after(today + timedelta(days=7))].on


def test_trades_are_told_when_the_contractor_plans_moves_and_issues_the_week(page, story):
    sign_in_office(page)
    page.get_by_role("button", name="Plan again").click()
    expect(page.get_by_text("The planner is about to start")).to_be_visible()
    let_the_planner_work()
    expect(page.get_by_text(re.compile(r"Planned \w+ \d"))).to_be_visible()
    page.reload()
    expect(page.get_by_text("draft 1", exact=True)).to_be_visible()

    page.get_by_role("link", name=re.compile("move Ifan Brooke")).first.click()
    page.get_by_label("Day:").fill(working_day_after_a_week(story).isoformat())
    page.get_by_role("button", name="Move and hold").click()
    expect(page.get_by_label("What the change did")).to_contain_text("Ifan Brooke")
    assert Pin.objects.filter(person=story.electrician).exists()

    page.get_by_role("link", name="Review and issue").first.click()
    expect(page.get_by_role("heading", name="Ottoline Finch")).to_be_visible()
    page.get_by_role("button", name="Issue this plan").click()
    expect(page.get_by_text("issued plan 1")).to_be_visible()
    let_the_planner_work()
    assert story.plasterer.email in {address for letter in mail.outbox for address in letter.to}


def test_hours_and_stock_follow_when_the_crew_ticks_a_room(page, story, issued):
    booking = Booking.objects.filter(plan=issued, person=story.electrician).order_by("on", "half", "pk").first()
    line = RoomTask.objects.filter(package__stage="first_fix", point_kind__code="double-socket").first()
    made = make_sign_in(person=story.electrician, by=story.office, now=timezone.now())
    page.goto(f"/l#{made.token}")
    page.get_by_role("button", name="Sign in this phone").click()
    page.wait_for_url("**/site/")
    expect(page.get_by_text(booking.package.job.name).first).to_be_visible()

    page.goto(f"/site/rooms/{line.room_id}/")
    page.get_by_role("heading", name="First fix", exact=True).click()
    page.get_by_role("button", name=line.text).first.click()
    expect(page.get_by_text("All sent")).to_be_visible()
    line.refresh_from_db()
    assert line.done_share == 1
    assert StockMove.objects.filter(task=line, reason=StockMove.Reason.USE).exists()


def test_date_is_kept_when_the_plasterer_accepts_it(page, story, issued):
    link, _ = make_link(
        purpose=SecretLink.Purpose.TRADE_PAGE, contact=story.plasterer, by=story.office, now=timezone.now()
    )
    page.goto(address_path(link))
    expect(page.get_by_role("heading", name="Your dates")).to_be_visible()
    page.get_by_role("button", name=re.compile("I can make it")).first.click()
    expect(page.get_by_text("you can make it").first).to_be_visible()
    assert Visit.objects.filter(contact=story.plasterer, state=Visit.State.ACCEPTED).count() == 1


def test_page_says_so_when_the_connection_is_lost(page, story, issued):
    sign_in_office(page)
    page.route("**/move/", lambda route: route.abort())
    page.get_by_role("link", name=re.compile("move ")).first.click()
    expect(page.get_by_role("alert")).to_contain_text("no connection")

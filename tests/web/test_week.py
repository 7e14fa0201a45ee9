"""This week, as page and as fragment, and the planner at work."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from jobs.models import Absence, Person, Plan, PlanRun
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_crew_user,
    make_firm,
    make_job,
    make_office,
    make_package,
    make_person,
    make_plan,
)
from tests.planning import book, make_working_firm, span

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}
WEDNESDAY = date(2027, 1, 13)


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def job():
    return make_working_firm()


@pytest.fixture
def office(job):
    return make_office(job.firm)


@pytest.fixture
def client(client, office):
    client.force_login(office)
    return client


@pytest.fixture
def edda(job):
    return Person.objects.get(name="Edda Marsh")


@pytest.fixture
def draft(job, edda):
    plan = make_plan(job.firm, made_by=None)
    for half in ("am", "pm"):
        book(plan, edda, job.packages.first(), WEDNESDAY, half)
    span(plan, job.packages.first(), WEDNESDAY, cause={"words": "as soon as work can start"})
    span(plan, job.visits.get(), date(2027, 1, 14))
    return plan


def page(client, query: str = "", **fields) -> str:
    return client.get(reverse("week") + query, **fields).content.decode()


def test_page_shows_who_works_where_with_the_stage_in_words(client, draft):
    html = page(client)
    assert "Edda Marsh" in html
    assert "First fix" in html
    assert 'aria-current="date"' in html


def test_page_and_fragment_hold_the_same_week(client, draft):
    fragment = page(client, headers=HTMX)
    assert fragment.startswith('<div id="week"')
    assert "<html" not in fragment
    assert 'id="week"' in page(client)


def test_back_button_gets_the_whole_page(client, draft):
    assert "<html" in page(client, headers=HTMX | {"HX-History-Restore-Request": "true"})


def test_table_heads_have_a_scope(client, draft):
    html = page(client)
    assert html.count('scope="colgroup"') == 5
    assert html.count('scope="col"') == 10
    assert 'scope="row"' in html


def test_any_day_opens_its_week(client, draft):
    assert "Week of 18 January" in page(client, "?from=2027-01-21")


@pytest.mark.parametrize("query", ["?from=rubbish", "?from=0001-01-01", "?from=9999-12-31", "?plan=other"])
def test_bad_address_shows_this_week(client, draft, query):
    assert "This week" in page(client, query)


def test_issued_plan_is_shown_when_it_is_asked_for(client, draft, edda, job):
    issued = make_plan(draft.firm, Plan.State.ISSUED, issued_by=None)
    book(issued, edda, job.packages.last(), WEDNESDAY)
    assert "Second fix" in page(client, "?plan=issued").split("week-key")[0]
    assert "Nobody was told yet" in page(client)


def test_week_gone_by_shows_the_plan_people_held_then(client, job, edda):
    old = make_plan(job.firm, Plan.State.REPLACED, issued_at=NOW - timedelta(days=20))
    book(old, edda, job.packages.first(), date(2027, 1, 6))
    assert "As it stood that week" in page(client, "?from=2027-01-06")


def test_absence_is_shown_in_words(client, draft, edda):
    Absence.objects.create(firm=draft.firm, person=edda, kind="sick", starts_on=TODAY, ends_on=TODAY)
    assert "sick" in page(client)


def test_empty_page_asks_for_people_first(client, job):
    Person.objects.all().delete()
    assert "Add your people" in page(client)


def test_empty_page_asks_for_a_job_next(client, job):
    job.delete()
    assert "There is no job to plan" in page(client)


def test_empty_page_offers_the_first_plan(client, job):
    assert "There is no plan yet" in page(client)


def test_nothing_of_another_firm_is_shown(client, draft):
    other = make_firm("Other")
    make_package(make_area(make_job(other, "Secret House")))
    make_person(other, "Secret Person")
    assert "Secret" not in page(client)


def test_crew_are_sent_to_their_own_page(client, edda):
    client.force_login(make_crew_user(edda))
    assert client.get(reverse("week")).status_code == 302


def test_planning_again_shows_progress_that_asks_for_more(client, job):
    html = client.post(reverse("plan_again"), {"seconds": 5}, headers=HTMX).content.decode()
    run = PlanRun.objects.get()
    assert f'hx-get="{reverse("plan_run", args=[run.pk])}' in html
    assert "<progress" in html


def test_planning_again_without_scripts_goes_back_to_the_week(client, job):
    response = client.post(reverse("plan_again"), {"seconds": 5})
    assert response.url == reverse("week")


def test_second_planner_is_told(client, job):
    client.post(reverse("plan_again"), {"seconds": 5})
    response = client.post(reverse("plan_again"), {"seconds": 5}, headers=HTMX)
    assert response.status_code == 409
    assert "Olwen is planning already" in response.content.decode()


def test_unknown_time_to_think_is_refused(client, job):
    assert client.post(reverse("plan_again"), {"seconds": 999}, headers=HTMX).status_code == 409
    assert not PlanRun.objects.exists()


def make_run(job, state: str, **fields) -> PlanRun:
    fields = {"started_at": NOW, "ended_at": NOW} | fields
    return PlanRun.objects.create(firm=job.firm, state=state, asked_at=NOW, **fields)


def test_progress_says_how_good_the_plan_is(client, job):
    progress = {"seconds": 2.0, "gap": 0.04, "objective": [0, 1, 0, 90], "bound": [0, 0, 0, 80]}
    run = make_run(job, "running", progress=progress)
    html = client.get(reverse("plan_run", args=[run.pk]), headers=HTMX).content.decode()
    assert "1 told date moved" in html
    assert "at most 4.0 % from the best possible" in html


def test_progress_has_the_week_reload_when_the_draft_is_newer(client, job, draft):
    run = make_run(job, "running", plan=draft)
    address = reverse("plan_run", args=[run.pk])
    assert client.get(address + "?seen=0", headers=HTMX)["HX-Trigger"] == "week-changed"
    assert "HX-Trigger" not in client.get(address + "?seen=1", headers=HTMX)


@pytest.mark.parametrize("state, words", [("done", "Planned"), ("stopped", "Stopped"), ("failed", "went wrong")])
def test_finished_run_says_how_it_ended_and_polls_no_more(client, job, state, words):
    run = make_run(job, state, message="It went wrong." if state == "failed" else "")
    html = client.get(reverse("plan_run", args=[run.pk]), headers=HTMX).content.decode()
    assert words in html
    assert "every 1s" not in html


def test_run_can_be_stopped(client, job):
    run = make_run(job, "running")
    assert "Stopping" in client.post(reverse("stop_run", args=[run.pk]), headers=HTMX).content.decode()
    run.refresh_from_db()
    assert run.should_stop


def test_run_of_another_firm_is_not_found(client, job):
    run = make_run(make_job(make_firm("Other")), "running")
    assert client.get(reverse("plan_run", args=[run.pk])).status_code == 404
    assert client.post(reverse("stop_run", args=[run.pk])).status_code == 404


def test_stale_draft_can_take_in_what_came_since(client, job, draft):
    job.visits.update(answered_at=NOW + timedelta(minutes=5))
    assert "1 answer from a trade since then" in page(client)
    answer = client.post(reverse("refresh_draft"), follow=True).content.decode()
    assert "takes in what came since" in answer


def test_refresh_that_is_refused_says_why(client, job):
    client.post(reverse("plan_again"), {"seconds": 5})
    assert "is planning already" in client.post(reverse("refresh_draft"), follow=True).content.decode()


def test_week_marks_who_goes_alongside(client, draft):
    book(draft, Person.objects.get(name="Tom Reed"), draft.bookings.first().package, WEDNESDAY, is_alongside=True)
    assert client.get(reverse("week")).content.decode().count(">alongside<") == 3

"""A job's materials, its cut list, and the vans of a day."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jobs.models import Booking, CircuitRecipe, Job, MaterialNeed, Plan, PointKind, Span
from tests.factories import (
    make_area,
    make_circuit,
    make_job,
    make_package,
    make_plan,
    make_point,
    make_point_kind,
    make_room,
)
from tests.stores import make_store

pytestmark = pytest.mark.django_db


@pytest.fixture
def store():
    store = make_store()
    Job.objects.filter(pk=store.job.pk).update(state=Job.State.ON_SITE)
    return store


@pytest.fixture
def office(client, store):
    client.force_login(store.office)
    return client


@pytest.fixture
def day(store):
    """A day on which Ada is booked on a package that takes twelve boxes."""
    on = timezone.localdate() + timedelta(days=3)
    plan = make_plan(store.firm, Plan.State.ISSUED)
    package = make_package(make_area(store.job))
    MaterialNeed.objects.create(firm=store.firm, package=package, item=store.box, quantity=12)
    Span.objects.create(firm=store.firm, plan=plan, package=package, starts_on=on, starts_half="am", ends_on=on, ends_half="pm")
    Booking.objects.create(firm=store.firm, plan=plan, person=store.person, package=package, on=on, half="am", hours=4)
    return on


def circuit(store, metres):
    CircuitRecipe.objects.create(
        firm=store.firm, circuit_kind="ring", cable=store.cable, board_run_metres=5, between_metres=3, drop_metres=1,
        board_leg_metres=1,
    )
    added = make_circuit(store.job, "R1", cable_metres=metres)
    make_point(make_room(make_area(store.job, "Where R1 is")), make_point_kind(store.firm), added)


def text(response):
    return " ".join(response.content.decode().split())


def test_job_says_what_it_still_needs_and_where_that_is(office, store, day):
    store.receive(3, to=store.site)
    store.receive(4)
    (row,) = office.get(reverse("job_materials", args=[store.job.pk])).context["rows"]
    assert (row.quantity, row.on_site, row.elsewhere, row.short) == (12, 3, 4, 5)


def test_job_without_needs_says_so(office, store):
    assert "Nothing is needed any more" in text(office.get(reverse("job_materials", args=[store.job.pk])))


def test_cut_list_names_the_drum_and_the_run(office, store):
    store.receive_drum("D7", 60)
    circuit(store, 45)
    page = text(office.get(reverse("cut_list", args=[store.job.pk])))
    assert "<h3>D7" in page
    assert "<b>R1</b> Sockets <b>45 m</b>" in page
    assert "No new drum needed" in page


def test_best_cuts_come_as_a_fragment(office, store):
    circuit(store, 45)
    address = reverse("cut_list", args=[store.job.pk]) + "?cuts=best"
    page = text(office.get(address, headers={"HX-Request": "true", "HX-Target": "cuts"}))
    assert page.startswith('<div id="cuts"')
    assert "cannot be bettered" in page


def test_cut_list_says_what_is_missing_without_circuits(office, store):
    assert "no circuits with points yet" in text(office.get(reverse("cut_list", args=[store.job.pk])))


def test_van_list_says_what_to_put_on_and_from_where(office, store, day):
    store.receive(50)
    page = text(office.get(reverse("van_load"), {"on": day.isoformat()}))
    assert "Ada Wren" in page
    assert "<strong>12 Back box</strong>" in page
    assert "from <b>Unit</b>" in page


def test_van_list_says_what_is_not_to_be_had(office, store, day):
    assert "Not to be had by then" in text(office.get(reverse("van_load"), {"on": day.isoformat()}))


@pytest.mark.parametrize("on", ["", "soon", "2027-13-45"])
def test_van_list_shows_the_next_working_day_when_the_day_makes_no_sense(office, store, on):
    response = office.get(reverse("van_load"), {"on": on})
    assert response.context["on"] > timezone.localdate()


def test_van_list_says_what_it_waits_for_without_a_plan(office, store):
    assert "There is no plan yet" in text(office.get(reverse("van_load")))


@pytest.mark.parametrize("page", ["job_materials", "cut_list"])
def test_queries_stay_the_same_however_many_jobs_and_circuits_there_are(office, store, day, page):
    circuit(store, 60)
    few = _queries(office, store, page)
    kind = PointKind.objects.get(firm=store.firm)
    for number in range(4):
        job = make_job(store.firm, f"House {number}", state=Job.State.ON_SITE)
        for where in (job, store.job):
            area = make_area(where, f"Area {number}")
            make_point(make_room(area, f"Room {number}"), kind, make_circuit(where, f"R{number + 2}", cable_metres=30))
            MaterialNeed.objects.create(firm=store.firm, package=make_package(area), item=store.box, quantity=5)
    assert _queries(office, store, page) == few


def _queries(office, store, page):
    with CaptureQueriesContext(connection) as queries:
        assert office.get(reverse(page, args=[store.job.pk])).status_code == 200
    return len(queries)

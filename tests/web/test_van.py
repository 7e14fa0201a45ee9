"""Van lists are ticked off in the office and on the phone."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jobs.models import Booking, Job, MaterialNeed, Plan, VanTick
from jobs.queries.stock import load_stores
from jobs.queries.van_loads import next_working_day
from tests.factories import make_area, make_crew_user, make_job, make_package, make_person, make_plan
from tests.stores import make_store

pytestmark = pytest.mark.django_db


@pytest.fixture
def store():
    store = make_store()
    Job.objects.filter(pk=store.job.pk).update(state=Job.State.ON_SITE)
    store.receive(50)
    return store


@pytest.fixture
def tomorrow(store):
    """The next working day, on which Ada takes twelve boxes along."""
    plan = make_plan(store.firm, Plan.State.ISSUED)
    on = next_working_day(load_stores(store.firm, plan, timezone.now()))
    package = make_package(make_area(store.job))
    MaterialNeed.objects.create(firm=store.firm, package=package, item=store.box, quantity=12)
    Booking.objects.create(firm=store.firm, plan=plan, person=store.person, package=package, on=on, half="am", hours=4)
    return on


@pytest.fixture
def office(client, store):
    client.force_login(store.office)
    return client


def row(office, on):
    """The first line that can be ticked."""
    (van,) = office.get(reverse("van_load"), {"on": on.isoformat()}).context["lists"]
    return van.to_fetch[0]


def tick(client, store, line, day, **data):
    about = {
        "op_id": line.op_ids[0], "person": store.person.pk, "on": day.isoformat(), "item": line.item.pk, "place": line.place.pk,
        "quantity": str(line.quantity),
    }
    return client.post(reverse("put_on_van"), about | data)


def text(response):
    return " ".join(response.content.decode().split())


def test_a_ticked_line_stays_on_the_list_with_who_and_where_from(office, store, tomorrow):
    tick(office, store, row(office, tomorrow), tomorrow)
    page = text(office.get(reverse("van_load"), {"on": tomorrow.isoformat()}))
    assert "<strong>12 Back box</strong>" in page
    assert "on the van, from Unit; Olwen" in page
    assert store.held(store.van) == 12


def test_two_people_who_tick_the_same_line_put_it_on_once(office, store, tomorrow):
    line = row(office, tomorrow)
    tick(office, store, line, tomorrow)
    tick(office, store, line, tomorrow)
    assert (store.held(store.van), VanTick.objects.count()) == (12, 1)


def test_a_line_taken_off_can_be_put_on_again(office, store, tomorrow):
    tick(office, store, row(office, tomorrow), tomorrow)
    office.post(reverse("take_off_van", args=[VanTick.objects.get().pk]))
    assert store.held(store.van) == 0
    tick(office, store, row(office, tomorrow), tomorrow)
    assert store.held(store.van) == 12


def test_the_phone_shows_ones_own_list_and_ticks_it(client, office, store, tomorrow):
    line = row(office, tomorrow)
    client.force_login(make_crew_user(store.person))
    assert "from <b>Unit</b>" in text(client.get(reverse("site_van")))
    assert tick(client, store, line, tomorrow).url == reverse("site_van")
    assert store.held(store.van) == 12


def test_the_phone_ticks_and_takes_off_without_scripts(client, office, store, tomorrow):
    line = row(office, tomorrow).op_ids[0]
    client.force_login(make_crew_user(store.person))
    about = {"op_id": uuid4(), "item": store.person.uid, "line": line}
    put = {"kind": "put_on_van", "on": tomorrow.isoformat(), "thing": "back-box", "place": store.unit.pk, "quantity": "12"}
    assert client.post(reverse("record_on_van"), about | put | {"drum": ""}).url == reverse("site_van")
    assert store.held(store.van) == 12
    client.post(reverse("record_on_van"), about | {"op_id": uuid4(), "kind": "take_off_van"})
    assert store.held(store.van) == 0


def test_the_phone_of_somebody_else_shows_nothing_of_it(client, store, tomorrow):
    client.force_login(make_crew_user(make_person(store.firm, "Bo Finch")))
    page = text(client.get(reverse("site_van")))
    assert "Back box" not in page
    assert "Nothing is booked for you" in page


@pytest.mark.parametrize("data", [{"op_id": "x"}, {"item": "999999"}, {"quantity": "-1"}, {"on": "soon"}, {"quantity": "51"}])
def test_a_tick_that_cannot_be_is_refused_in_words(office, store, tomorrow, data):
    response = tick(office, store, row(office, tomorrow), tomorrow, **data)
    assert response.status_code == 302
    assert "is-bad" in text(office.get(response.url))
    assert not VanTick.objects.exists()


def test_another_firms_tick_is_not_found(client, office, store, tomorrow):
    tick(office, store, row(office, tomorrow), tomorrow)
    client.force_login(make_store("Other Electrics").office)
    assert client.post(reverse("take_off_van", args=[VanTick.objects.get().pk])).status_code == 404


def test_who_is_no_longer_booked_still_sees_what_is_on_the_van(office, store, tomorrow):
    tick(office, store, row(office, tomorrow), tomorrow)
    Booking.objects.all().delete()
    (van,) = office.get(reverse("van_load"), {"on": tomorrow.isoformat()}).context["lists"]
    assert [each.item for each in van.ticked] == [store.box]
    assert office.get(reverse("van_load"), {"on": (tomorrow + timedelta(days=1)).isoformat()}).context["lists"] == []


@pytest.mark.parametrize("page", ["van_load", "site_van"])
def test_queries_stay_the_same_however_many_jobs_and_people_there_are(office, store, tomorrow, page):
    plan = Plan.objects.get()

    def count() -> int:
        with CaptureQueriesContext(connection) as queries:
            office.get(reverse(page), {"on": tomorrow.isoformat()} if page == "van_load" else {})
        return len(queries)

    count()
    few = count()
    for number in range(4):
        person = make_person(store.firm, f"Person {number}")
        package = make_package(make_area(make_job(store.firm, f"House {number}", state=Job.State.ON_SITE)))
        MaterialNeed.objects.create(firm=store.firm, package=package, item=store.box, quantity=5)
        Booking.objects.create(firm=store.firm, plan=plan, person=person, package=package, on=tomorrow, half="am", hours=4)
    assert count() == few

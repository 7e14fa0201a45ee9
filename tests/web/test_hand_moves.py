"""Moving a booking by form."""

from datetime import date

import pytest
from django.urls import reverse

from jobs.models import Absence, Person, Pin
from tests.factories import NOW, make_area, make_firm, make_job, make_office, make_package, make_person, make_plan
from tests.planning import book, make_working_firm, span

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}
WEDNESDAY = date(2027, 1, 13)
THURSDAY = date(2027, 1, 14)


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def job():
    return make_working_firm()


@pytest.fixture
def client(client, job):
    client.force_login(make_office(job.firm))
    return client


@pytest.fixture
def edda(job):
    return Person.objects.get(name="Edda Marsh")


@pytest.fixture
def booking(job, edda):
    plan = make_plan(job.firm)
    span(plan, job.packages.first(), WEDNESDAY)
    return book(plan, edda, job.packages.first(), WEDNESDAY)


def target(booking, **changed) -> dict[str, object]:
    return {"on": "2027-01-14", "half": "pm", "person": booking.person_id, "version": booking.plan.version} | changed


def post(client, booking, headers=HTMX, **changed):
    return client.post(reverse("move_booking", args=[booking.pk]), target(booking, **changed), headers=headers)


def test_form_is_a_fragment_of_its_own_page(client, booking):
    address = reverse("move_booking", args=[booking.pk])
    fragment = client.get(address, headers=HTMX).content.decode()
    whole = client.get(address).content.decode()
    assert "<html" not in fragment
    assert "<html" in whole
    assert 'name="on"' in fragment
    assert 'name="on"' in whole


def test_form_offers_the_whole_day_when_both_halves_are_the_same_work(client, booking):
    address = reverse("move_booking", args=[booking.pk])
    assert "Both halves" not in client.get(address).content.decode()
    book(booking.plan, booking.person, booking.package, WEDNESDAY, "pm")
    assert "Both halves" in client.get(address).content.decode()


def test_move_answers_in_words_and_has_the_week_reload(client, booking):
    response = post(client, booking)
    assert "now Edda Marsh, Thursday 14 January, afternoon" in response.content.decode()
    assert response["HX-Trigger"] == "week-changed"


def test_move_of_the_whole_day_moves_both_halves(client, booking):
    book(booking.plan, booking.person, booking.package, WEDNESDAY, "pm")
    post(client, booking, half="all")
    assert booking.plan.bookings.filter(on=THURSDAY).count() == 2


def test_move_says_what_it_breaks(client, booking, edda):
    Absence.objects.create(firm=booking.firm, person=edda, kind="sick", starts_on=THURSDAY, ends_on=THURSDAY)
    assert "Edda Marsh is sick on Thu 14 Jan pm" in post(client, booking).content.decode()


def test_move_without_scripts_goes_back_to_the_week(client, booking):
    assert post(client, booking, headers=None).url == reverse("week")


@pytest.mark.parametrize(
    "changed, words",
    [
        ({"on": "2027-01-16"}, "Nobody works on Saturday"),
        ({"on": "soon"}, "Write the day as"),
        ({"half": "evening"}, "not one of the available choices"),
        ({"person": 999999}, "Choose one of your own people"),
    ],
    ids=["rest day", "no day", "no half", "no person"],
)
def test_bad_move_shows_the_form_with_what_is_wrong(client, booking, changed, words):
    response = post(client, booking, **changed)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert not Pin.objects.exists()


def test_person_of_another_firm_cannot_be_chosen(client, booking):
    assert post(client, booking, person=make_person(make_firm("Other")).pk).status_code == 422


def test_stale_move_is_refused_and_has_the_week_reload(client, booking):
    response = post(client, booking, version=0)
    assert response.status_code == 409
    assert "Someone changed the draft" in response.content.decode()
    assert response["HX-Trigger"] == "week-changed"


def test_booking_of_another_firm_is_not_found(client):
    other = make_firm("Other")
    package = make_package(make_area(make_job(other)))
    theirs = book(make_plan(other), make_person(other), package, WEDNESDAY)
    assert post(client, theirs).status_code == 404


def test_booking_replaced_by_a_new_plan_says_so_and_has_the_week_reload(client, booking):
    address = reverse("move_booking", args=[booking.pk])
    booking.delete()
    response = client.get(address, headers=HTMX)
    assert response.status_code == client.get(address).status_code == 404
    assert "planned anew meanwhile" in response.content.decode()
    assert response["HX-Trigger"] == "week-changed"


def test_pin_is_listed_and_can_go(client, booking):
    post(client, booking)
    assert "Held by hand" in client.get(reverse("week")).content.decode()
    answer = client.post(reverse("remove_pin", args=[Pin.objects.get().pk]), headers=HTMX)
    assert "no longer held" in answer.content.decode()


def test_pin_can_be_let_go_from_the_review_when_it_is_listed_there(client, booking):
    post(client, booking)
    pin = Pin.objects.get()
    assert reverse("remove_pin", args=[pin.pk]) in client.get(reverse("plan_review")).content.decode()
    answer = client.post(reverse("remove_pin", args=[pin.pk]), {"back_to": "plan_review"})
    assert answer.url == reverse("plan_review")
    assert "Held by hand" not in client.get(answer.url).content.decode()


def test_last_move_can_be_undone(client, booking):
    post(client, booking)
    answer = client.post(reverse("undo_move"), {"version": 2}, headers=HTMX)
    assert "back to Edda Marsh, Wednesday 13 January, morning" in answer.content.decode()


def test_undo_is_refused_when_the_draft_changed(client, booking):
    post(client, booking)
    assert client.post(reverse("undo_move"), {"version": 1}, headers=HTMX).status_code == 409
    assert client.post(reverse("undo_move"), {}).url == reverse("week")


@pytest.fixture
def visit(job, booking):
    """The plasterer on Friday and Monday, in the draft."""
    visit = job.visits.get()
    span(booking.plan, visit, date(2027, 1, 15), date(2027, 1, 18))
    return visit


def hold(client, visit, headers=HTMX, **changed):
    fields = {"on": "2027-01-21", "half": "am", "version": visit.spans.get().plan.version} | changed
    return client.post(reverse("hold_visit", args=[visit.pk]), fields, headers=headers)


def test_form_to_hold_a_visit_is_a_fragment_of_its_own_page(client, visit):
    address = reverse("hold_visit", args=[visit.pk])
    fragment, whole = (client.get(address, headers=headers).content.decode() for headers in (HTMX, {}))
    assert "<html" not in fragment
    assert "<html" in whole
    assert 'value="2027-01-15"' in fragment


def test_week_reached_shows_the_visit_held_when_it_was_put_there(client, visit):
    page = client.post(
        reverse("hold_visit", args=[visit.pk]), {"on": "2027-01-21", "half": "am", "version": visit.spans.get().plan.version},
        follow=True,
    ).content.decode()
    assert "now held for Thursday 21 January, morning" in page
    assert "Week of 18 January" in page
    assert '<span class="tag">held</span>' in page


def test_week_tells_beside_itself_what_was_held_when_asked_from_it(client, visit):
    answer = hold(client, visit)
    assert answer.headers["HX-Trigger"] == "week-changed"
    assert "now held for" in answer.content.decode()


def test_reason_stands_at_the_day_when_a_visit_cannot_be_held_then(client, visit):
    answer = hold(client, visit, on="2027-01-16")
    assert answer.status_code == 422
    assert "Nobody works on Saturday" in answer.content.decode()


def test_visit_of_another_firm_is_not_found_when_it_is_to_be_held(client, visit):
    client.force_login(make_office(make_firm()))
    assert client.get(reverse("hold_visit", args=[visit.pk])).status_code == 404


def test_second_of_two_people_is_told_when_both_hold_the_visit(client, visit):
    assert hold(client, visit, version=99).status_code == 409


@pytest.mark.parametrize(("state", "is_offered"), [("pencilled", True), ("asked", True), ("accepted", False)])
def test_week_offers_to_hold_a_visit_when_no_date_is_agreed(client, visit, state, is_offered):
    type(visit).objects.filter(pk=visit.pk).update(state=state, starts_on=date(2027, 1, 15))
    assert (reverse("hold_visit", args=[visit.pk]) in client.get(reverse("week")).content.decode()) is is_offered


def test_job_page_offers_to_hold_a_visit_when_it_has_a_date(client, job, visit):
    assert reverse("hold_visit", args=[visit.pk]) in client.get(reverse("job", args=[job.pk])).content.decode()

"""The customer's page: what it tells, what it keeps to itself, and how its answers come in."""

from datetime import timedelta

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse
from django.utils import timezone

from jobs.actions.calendar_entries import renew_entries
from jobs.actions.links import make_link, revoke_link, rotate_link
from jobs.models import Booking, Photo, SecretLink, Span, Variation, VariationAnswer
from tests.factories import (
    make_area,
    make_contact,
    make_firm,
    make_job,
    make_office,
    make_package,
    make_person,
    make_plan,
    make_point_kind,
    make_room,
    make_visit,
    make_visit_kind,
)

pytestmark = pytest.mark.django_db
NOW = timezone.now().replace(microsecond=0)
TODAY = timezone.localdate()
SOON = TODAY + timedelta(days=7 - TODAY.weekday())
LATER = SOON + timedelta(days=4)


@pytest.fixture
def office():
    return make_office(make_firm())


@pytest.fixture
def job(office):
    """A house with a first stage planned from next Monday to Friday, and a plumber on the Tuesday."""
    firm = office.firm
    customer = make_contact(firm, "customer", "Ada Fenwick")
    job = make_job(firm, "Grumpy’s place", state="on_site", customer=customer, address="3 Mill Row", access_notes="Key in shed")
    area = make_area(job, "Upstairs")
    room = make_room(area, "Back bedroom")
    package = make_package(area, "strip_out")
    package.tasks.create(firm=firm, room=room, code="S1", text="Strip")
    plan = make_plan(firm, "issued")
    span(plan, package=package, ends_on=LATER, safe_end_on=LATER + timedelta(days=3), likely_end_on=LATER)
    for person in (make_person(firm, "Marta Quill"), make_person(firm, "Jory Penn", "apprentice")):
        Booking.objects.create(firm=firm, plan=plan, person=person, package=package, on=SOON, half="am", hours=4)
    plumber = make_contact(firm, "plumber", "Wilf Harrow", business="Harrow Plumbing")
    kind = make_visit_kind(firm, "plumber", trade="plumber", name="Pipes in the floor")
    visit = make_visit(job, plumber, kind, state="accepted", starts_on=SOON)
    span(plan, visit=visit, ends_on=SOON)
    renew_entries(plan=plan, now=NOW)
    return job


def span(plan, *, ends_on, package=None, visit=None, **more) -> None:
    Span.objects.create(
        firm=plan.firm, plan=plan, package=package, visit=visit, starts_on=SOON, starts_half="am", ends_on=ends_on,
        ends_half="pm", **more,
    )


@pytest.fixture
def link(job, office):
    return make_link(purpose="customer_page", job=job, by=office, now=NOW)


@pytest.fixture
def address(link):
    return reverse("customer_page", args=[link[1]])


@pytest.fixture
def variation(job, office):
    room = job.rooms.get()
    return Variation.objects.create(
        firm=job.firm, room=room, kind=make_point_kind(job.firm, "double", name="Double socket"), quantity=2,
        words="She can pay, ask for double", made_by=office, made_at=NOW,
    )


def photo_of(job, office, **fields) -> Photo:
    photo = Photo(
        firm=job.firm, room=job.rooms.get(), stage="strip_out", sha256=f"{Photo.objects.count():064}", width_px=4, height_px=3,
        made_by=office, taken_at=NOW, **fields,
    )
    photo.image.save("x.jpg", ContentFile(b"picture"))
    return photo


def body(client, address: str) -> str:
    return " ".join(client.get(address).content.decode().split())


def test_page_says_what_happens_when_and_how_firm_it_is(client, address):
    page = body(client, address)
    assert "The old wiring comes out" in page
    assert "it may run on to" in page


def test_page_says_power_rooms_and_people_when_work_lies_ahead(client, address):
    page = body(client, address)
    assert "Electricians" not in page
    for words in ("When the power is off", "Back bedroom", "<strong>Marta</strong>, electrician", "Wilf, plumber"):
        assert words in page


def test_power_comes_back_each_evening_when_the_house_is_lived_in(client, address, job):
    assert "put it back on each evening" not in body(client, address)
    job.is_occupied = True
    job.save()
    assert "put it back on each evening" in body(client, address)


def test_page_keeps_to_itself_what_is_not_theirs(client, address, variation, office):
    make_job(office.firm, "Another house", address="Elsewhere Lane")
    page = body(client, address)
    for words in ("Grumpy", "Quill", "Harrow", "Another", "Elsewhere", "Key in shed", "£", "She can pay"):
        assert words not in page


def test_page_tells_nothing_when_only_a_draft_exists(client, office):
    job = make_job(office.firm, state="booked")
    package = make_package(make_area(job))
    span(make_plan(office.firm), package=package, ends_on=LATER)
    _, token = make_link(purpose="customer_page", job=job, by=office, now=NOW)
    assert "The dates are not settled yet" in body(client, reverse("customer_page", args=[token]))


def test_page_is_hidden_from_caches_and_search_engines(client, address):
    answer = client.get(address)
    assert answer["Cache-Control"] == "no-store"
    assert answer["Referrer-Policy"] == "no-referrer"
    assert answer["X-Robots-Tag"] == "noindex, nofollow"


@pytest.mark.parametrize("act", [revoke_link, rotate_link])
def test_old_address_opens_nothing_when_the_link_is_switched_off_or_renewed(client, address, link, office, act):
    act(link=link[0], by=office, now=NOW)
    answer = client.get(address)
    assert answer.status_code == 404
    assert answer["X-Robots-Tag"] == "noindex, nofollow"


def test_address_opens_nothing_when_it_has_expired(client, address, link):
    SecretLink.objects.filter(pk=link[0].pk).update(expires_at=NOW - timedelta(seconds=1))
    assert client.get(address).status_code == 404


@pytest.mark.parametrize("purpose", ["job_feed", "customer_feed"])
def test_page_does_not_open_when_the_token_is_that_of_a_calendar(client, job, office, purpose):
    _, token = make_link(purpose=purpose, job=job, by=office, now=NOW)
    assert client.get(reverse("customer_page", args=[token])).status_code == 404


def answer(client, link, variation, **data):
    confirm = reverse("customer_variation", args=[link[1], variation.pk])
    key = client.get(confirm).context["key"]
    return client.post(confirm, {"key": key} | data)


def test_nothing_is_answered_when_a_program_follows_every_link(client, link, variation, address):
    client.get(address)
    client.get(reverse("customer_variation", args=[link[1], variation.pk]))
    assert not VariationAnswer.objects.exists()


@pytest.mark.parametrize(("said", "words"), [("agree", "you agreed"), ("decline", "you declined")])
def test_answer_is_kept_and_shown_when_it_is_confirmed(client, link, variation, address, said, words):
    assert answer(client, link, variation, answer=said).status_code == 303
    assert words in body(client, address)
    assert Variation.objects.get().state == "waiting"


def test_newest_answer_stands_and_the_first_stays_when_they_change_their_mind(client, link, variation, address):
    answer(client, link, variation, answer="agree")
    answer(client, link, variation, answer="agree")
    answer(client, link, variation, answer="decline")
    assert list(VariationAnswer.objects.values_list("is_agreed", flat=True)) == [True, False]
    assert "you declined" in body(client, address)


def test_answer_is_refused_when_the_office_has_settled_it(client, link, variation):
    confirm = reverse("customer_variation", args=[link[1], variation.pk])
    key = client.get(confirm).context["key"]
    Variation.objects.update(state="declined")
    assert client.post(confirm, {"key": key, "answer": "agree"}).status_code == 409
    assert not VariationAnswer.objects.exists()


@pytest.mark.parametrize(
    "data", [{}, {"answer": "agree"}, {"key": "forged", "answer": "agree"}, {"key": "x" * 5000, "answer": "agree"}]
)
def test_answer_is_refused_when_its_key_is_not_from_the_page(client, link, variation, data):
    assert client.post(reverse("customer_variation", args=[link[1], variation.pk]), data).status_code == 403


def test_answer_is_refused_when_another_site_sends_it(client, link, variation):
    confirm = reverse("customer_variation", args=[link[1], variation.pk])
    data = {"key": client.get(confirm).context["key"], "answer": "agree"}
    assert client.post(confirm, data, headers={"Sec-Fetch-Site": "cross-site"}).status_code == 403


def test_question_of_another_job_is_not_found(client, variation, office):
    _, token = make_link(purpose="customer_page", job=make_job(office.firm), by=office, now=NOW)
    assert client.get(reverse("customer_variation", args=[token, variation.pk])).status_code == 404


def test_office_sees_the_answer_on_the_job(client, link, variation, job, office):
    answer(client, link, variation, answer="agree")
    client.force_login(office)
    assert "Customer agreed" in body(client, reverse("job", args=[job.pk]))


def test_photo_is_shown_only_when_the_office_chose_it(client, link, job, office, address):
    hidden, shown = photo_of(job, office), photo_of(job, office, is_for_customer=True)
    assert reverse("customer_photo", args=[link[1], shown.pk]) in body(client, address)
    assert b"".join(client.get(reverse("customer_photo", args=[link[1], shown.pk]))) == b"picture"
    assert client.get(reverse("customer_photo", args=[link[1], hidden.pk])).status_code == 404
    assert client.get(reverse("customer_thumbnail", args=[link[1], hidden.pk])).status_code == 404


def test_only_the_ticked_photos_are_shown_when_the_office_chooses(client, job, office):
    first, second = photo_of(job, office, is_for_customer=True), photo_of(job, office)
    client.force_login(office)
    client.post(reverse("choose_photos", args=[job.pk]), {"photos": [second.pk]})
    assert list(Photo.objects.filter(is_for_customer=True)) == [second]
    assert first.pk != second.pk


def test_nothing_changes_when_a_photo_of_another_job_is_chosen(client, job, office):
    photo = photo_of(job, office, is_for_customer=True)
    client.force_login(office)
    client.post(reverse("choose_photos", args=[make_job(office.firm).pk]), {"photos": [photo.pk]})
    assert Photo.objects.get().is_for_customer


def test_office_page_shows_links_photos_and_the_page(client, job, office, link):
    client.force_login(office)
    page = body(client, reverse("job_customer", args=[job.pk]))
    assert link[1] in page
    assert "The old wiring comes out" in page


def feed(client, job, office) -> str:
    _, token = make_link(purpose="customer_feed", job=job, by=office, now=NOW)
    return client.get(reverse("calendar_feed", args=[token])).content.decode().replace("\r\n ", "")


def test_calendar_has_a_day_and_a_visit_in_their_words_when_work_is_booked(client, job, office):
    text = feed(client, job, office)
    assert "SUMMARY:Electricians in the house\\, power off" in text
    assert "SUMMARY:Pipes in the floor" in text
    assert text.count("BEGIN:VEVENT") == 2
    assert not any(words in text for words in ("Grumpy", "Quill", "Harrow"))


def test_day_keeps_its_identity_and_rises_when_somebody_is_taken_off(client, job, office):
    before = feed(client, job, office)
    Booking.objects.filter(person__name="Jory Penn").delete()
    renew_entries(plan=Span.objects.first().plan, now=NOW + timedelta(hours=1))
    after = feed(client, job, office)
    uid = next(line for line in before.splitlines() if line.startswith("UID:"))
    assert uid in after
    assert max(_sequences(after)) > max(_sequences(before))


def _sequences(text: str) -> list[int]:
    return [int(line.partition(":")[2]) for line in text.splitlines() if line.startswith("SEQUENCE:")]

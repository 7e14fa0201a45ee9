from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.test import Client
from django.urls import reverse

from jobs.core.stages import Trade
from jobs.models import Contact, DayMessage, Handover, HandoverPdf, Job, Notice, Photo, SecretLink, TrailEntry
from tests.factories import NOW, make_area, make_contact, make_firm, make_job, make_office, make_person, make_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def customer() -> Contact:
    return make_contact(make_firm(), Trade.CUSTOMER, "Odalys Merrin", email="odalys@merrin.example")


@pytest.fixture
def job(customer: Contact) -> Job:
    return make_job(
        customer.firm, "Mill Lane", customer=customer, address="3 Mill Lane", postcode="ZZ1 1AA", access_notes="Dog",
        state=Job.State.HANDED_OVER,
    )


@pytest.fixture
def office(client: Client, customer: Contact) -> Client:
    client.force_login(make_office(customer.firm))
    return client


def forget(office: Client, customer: Contact) -> int:
    return office.post(reverse("forget", args=[customer.pk])).status_code


def make_notice(contact: Contact, words: str) -> Notice:
    return Notice.objects.create(
        firm=contact.firm, contact=contact, kind=Notice.Kind.values[0], subject="Dates", lines=[words],
        message_id=words, made_at=NOW,
    )


def test_who_and_where_are_gone_when_a_customer_is_forgotten(office: Client, customer: Contact, job: Job) -> None:
    assert forget(office, customer) == 302
    job.refresh_from_db()
    assert (job.name, job.address, job.postcode, job.access_notes, job.customer) == (f"Job {job.pk}", "", "", "", None)
    assert not Contact.objects.exists()


def test_messages_to_others_go_when_they_name_the_house(office: Client, customer: Contact, job: Job) -> None:
    plasterer = make_contact(customer.firm)
    make_notice(plasterer, "Mill Lane: Tuesday")
    other = make_notice(plasterer, "Weir Cottage: Friday")
    forget(office, customer)
    assert list(Notice.objects.all()) == [other]


def test_messages_of_the_day_go_when_they_name_the_house(office: Client, customer: Contact, job: Job) -> None:
    for number, words in enumerate(("MILL LANE: strip-out", "WEIR COTTAGE: strip-out")):
        DayMessage.objects.create(
            firm=customer.firm, kind="morning", person=make_person(customer.firm), on=NOW.date(), subject=f"Day {number}",
            text=words, sent_to="x@crew.example", sent_at=NOW,
        )
    forget(office, customer)
    assert [message.text for message in DayMessage.objects.all()] == ["WEIR COTTAGE: strip-out"]


def test_photos_go_with_their_files_when_a_customer_is_forgotten(
    office: Client, customer: Contact, job: Job, django_capture_on_commit_callbacks: object
) -> None:
    photo = Photo(
        firm=job.firm, room=make_room(make_area(job)), stage="first_fix", sha256="a" * 64, width_px=1, height_px=1,
        made_by=make_office(job.firm, "nell"), taken_at=NOW,
    )
    photo.image.save("wall.jpg", ContentFile(b"a wall"))
    with django_capture_on_commit_callbacks(execute=True):
        forget(office, customer)
    assert not Photo.objects.exists()
    assert not Path(photo.image.path).exists()


def test_links_and_trail_go_when_a_customer_is_forgotten(office: Client, customer: Contact, job: Job) -> None:
    office.post(reverse("contact_edit", args=[customer.pk]), {"name": "Odalys Merrin", "trade": "customer"})
    SecretLink.objects.create(firm=job.firm, purpose="job_feed", job=job, token_hash="x", made_at=NOW)
    forget(office, customer)
    assert [entry.what for entry in TrailEntry.objects.all()] == ["forget"]
    assert not SecretLink.objects.exists()


def test_nothing_goes_when_a_job_is_under_way(office: Client, customer: Contact, job: Job) -> None:
    Job.objects.update(state=Job.State.ON_SITE)
    assert forget(office, customer) == 409
    assert Contact.objects.exists()


def test_what_would_go_is_counted_when_the_page_is_read(office: Client, customer: Contact, job: Job) -> None:
    make_notice(customer, "Mill Lane: Tuesday")
    page = office.get(reverse("forget", args=[customer.pk])).content.decode()
    assert "1 message, to anyone" in page


def test_trade_is_not_found_when_only_customers_are_forgotten(office: Client, customer: Contact) -> None:
    assert forget(office, make_contact(customer.firm)) == 404


def test_other_firms_customer_is_not_found_when_forgetting(office: Client) -> None:
    theirs = make_contact(make_firm("Another firm"), Trade.CUSTOMER, "Somebody")
    assert forget(office, theirs) == 404


def test_handover_packs_go_with_their_files_when_a_customer_is_forgotten(
    office: Client, customer: Contact, job: Job, django_capture_on_commit_callbacks: object
) -> None:
    pdf = HandoverPdf(firm=job.firm, job=job, asked_at=NOW, made_at=NOW)
    pdf.file.save("pack.pdf", ContentFile(b"%PDF"))
    Handover.objects.create(firm=job.firm, job=job, words="Odalys keeps the keys")
    with django_capture_on_commit_callbacks(execute=True):
        forget(office, customer)
    assert not HandoverPdf.objects.exists()
    assert not Handover.objects.exists()
    assert not pdf.file.storage.exists(pdf.file.name)

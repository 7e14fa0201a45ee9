"""The pack's pages: the office's, the customer's by their link, and who is kept out."""

from datetime import timedelta

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse
from django.utils import timezone

from jobs.actions.links import make_link, revoke_link
from jobs.core.handover import Part
from jobs.models import Handover, HandoverPdf, OutboxEntry, Photo, SecretLink
from jobs.queries.links import token_of
from tests.factories import make_area, make_firm, make_job, make_office, make_room

pytestmark = pytest.mark.django_db
NOW = timezone.now()


@pytest.fixture
def office():
    return make_office(make_firm())


@pytest.fixture
def job(office):
    job = make_job(office.firm, "Mill Lane")
    make_room(make_area(job), "Lounge")
    return job


def add_photo(job, stage="first_fix"):
    photo = Photo(firm=job.firm, room=job.rooms.get(), stage=stage, surface="A", sha256=stage, width_px=1, height_px=1,
                  made_by=job.firm.users.first(), taken_at=NOW)
    photo.image.save("x.jpg", ContentFile(b"a wall"), save=False)
    photo.save()
    return photo


def add_pdf(job, **fields):
    made = {"made_at": NOW} | fields
    pdf = HandoverPdf(firm=job.firm, job=job, asked_at=NOW, **made)
    pdf.file.save("x.pdf", ContentFile(b"%PDF-1.7 the pack"), save=False)
    pdf.save()
    return pdf


def show(job, office):
    Handover.objects.create(firm=job.firm, job=job, is_shown_to_customer=True, warranties="Two years.")
    return make_link(purpose=SecretLink.Purpose.CUSTOMER_PAGE, job=job, by=office, now=NOW)[0]


def test_page_has_every_section_when_the_office_opens_it(client, office, job):
    client.force_login(office)
    html = client.get(reverse("handover_pack", args=[job.pk])).content.decode()
    assert [part for part in Part if f'id="{part.value}"' not in html] == []


def test_only_the_state_of_the_pdf_is_sent_when_htmx_asks(client, office, job):
    client.force_login(office)
    html = client.get(reverse("handover_pack", args=[job.pk]), headers={"HX-Request": "true"}).content.decode()
    assert html.lstrip().startswith("<section")
    assert "<html" not in html


def test_pdf_is_asked_for_and_its_state_shown_when_the_office_presses_the_button(client, office, job):
    client.force_login(office)
    html = client.post(reverse("make_handover_pdf", args=[job.pk]), follow=True).content.decode()
    assert "asked for" in html
    assert 'hx-trigger="every 3s"' in html
    assert OutboxEntry.objects.filter(task="make_handover_pdf").count() == 1


def test_pdf_is_given_out_and_changes_told_when_it_is_ready(client, office, job):
    pdf = add_pdf(job, sums={"rooms": "old"})
    client.force_login(office)
    html = client.get(reverse("handover_pack", args=[job.pk])).content.decode()
    answer = client.get(reverse("handover_pdf", args=[job.pk, pdf.pk]))
    assert "Something changed since" in html
    assert b"".join(answer.streaming_content) == b"%PDF-1.7 the pack"
    assert answer["Content-Type"] == "application/pdf"


def test_pdf_is_not_found_when_it_is_not_made_yet_or_its_file_is_gone(client, office, job):
    unmade, gone = add_pdf(job, made_at=None), add_pdf(job)
    gone.file.storage.delete(gone.file.name)
    client.force_login(office)
    for pdf in (unmade, gone):
        assert client.get(reverse("handover_pdf", args=[job.pk, pdf.pk])).status_code == 404


def test_work_that_was_given_up_is_said_when_the_pdf_could_not_be_made(client, office, job):
    client.force_login(office)
    client.post(reverse("make_handover_pdf", args=[job.pk]))
    OutboxEntry.objects.update(state="dead", last_error="TypstError")
    html = client.get(reverse("handover_pack", args=[job.pk])).content.decode()
    assert "not made" in html
    assert "Make the PDF" in html


def test_words_and_warranties_are_kept_when_the_office_saves_them(client, office, job):
    client.force_login(office)
    client.post(reverse("handover_pack", args=[job.pk]), {"words": "Keys", "warranties": "Two <b>years</b>"})
    html = client.get(reverse("handover_pack", args=[job.pk])).content.decode()
    assert "<p>Two &lt;b&gt;years&lt;/b&gt;</p>" in html
    assert not Handover.objects.get().is_shown_to_customer


def test_too_long_words_are_refused_with_the_page_when_they_are_sent(client, office, job):
    client.force_login(office)
    answer = client.post(reverse("handover_pack", args=[job.pk]), {"words": "x" * 5000})
    assert answer.status_code == 422
    assert not Handover.objects.exists()


def test_customer_sees_pack_photos_and_pdf_when_the_office_shows_them(client, office, job):
    token, photo = token_of(show(job, office)), add_photo(job)
    add_pdf(job)
    page = client.get(reverse("customer_page", args=[token])).content.decode()
    pack = client.get(reverse("customer_pack", args=[token]))
    assert reverse("customer_pack", args=[token]) in page
    assert "Two years." in pack.content.decode()
    assert reverse("customer_pack_photo", args=[token, photo.pk]) in pack.content.decode()
    assert client.get(reverse("customer_pack_photo", args=[token, photo.pk])).status_code == 200
    assert client.get(reverse("customer_pack_pdf", args=[token])).status_code == 200
    assert pack["Cache-Control"] == "no-store"


def test_customer_finds_nothing_when_the_office_does_not_show_the_pack(client, office, job):
    token, photo = token_of(show(job, office)), add_photo(job)
    Handover.objects.update(is_shown_to_customer=False)
    addresses = [("customer_pack", [token]), ("customer_pack_pdf", [token]), ("customer_pack_photo", [token, photo.pk])]
    assert [client.get(reverse(name, args=args)).status_code for name, args in addresses] == [404] * 3


def test_customer_finds_nothing_when_the_link_is_switched_off_or_for_another_purpose(client, office, job):
    link = show(job, office)
    feed, _ = make_link(purpose=SecretLink.Purpose.CUSTOMER_FEED, job=job, by=office, now=NOW)
    revoke_link(link=link, by=office, now=NOW)
    assert client.get(reverse("customer_pack", args=[token_of(link)])).status_code == 404
    assert client.get(reverse("customer_pack", args=[token_of(feed)])).status_code == 404


def test_photo_is_not_given_out_when_it_is_of_another_job_or_not_in_the_pack(client, office, job):
    other = make_job(office.firm, "Elm Row")
    make_room(make_area(other), "Lounge")
    token = token_of(show(job, office))
    for photo in (add_photo(other), add_photo(job, "second_fix")):
        assert client.get(reverse("customer_pack_photo", args=[token, photo.pk])).status_code == 404


def test_pack_without_a_pdf_says_nothing_of_one_when_the_customer_opens_it(client, office, job):
    token = token_of(show(job, office))
    assert "PDF" not in client.get(reverse("customer_pack", args=[token])).content.decode()
    assert client.get(reverse("customer_pack_pdf", args=[token])).status_code == 404


def test_pdf_of_another_job_is_not_found_when_its_number_is_put_in_the_address(client, office, job):
    pdf = add_pdf(make_job(office.firm, "Elm Row"))
    client.force_login(office)
    assert client.get(reverse("handover_pdf", args=[job.pk, pdf.pk])).status_code == 404


def test_answers_to_another_site_are_refused_when_it_asks_for_the_pdf(client, office, job):
    pdf = add_pdf(job)
    client.force_login(office)
    answer = client.get(reverse("handover_pdf", args=[job.pk, pdf.pk]), headers={"Sec-Fetch-Site": "cross-site"})
    assert answer.status_code == 403


def test_state_is_shown_with_its_next_try_when_a_try_failed(client, office, job):
    client.force_login(office)
    client.post(reverse("make_handover_pdf", args=[job.pk]))
    OutboxEntry.objects.update(last_error="OSError", due_at=NOW + timedelta(minutes=5))
    assert "a try failed" in client.get(reverse("handover_pack", args=[job.pk])).content.decode()

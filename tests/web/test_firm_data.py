"""The office takes the firm's data away as an archive."""

import io
from datetime import timedelta
from zipfile import ZipFile

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs import outbox
from jobs.actions.firm_archives import KEPT_FOR, delete_expired_archives
from jobs.models import FirmArchive, OutboxEntry
from tests.factories import make_crew_user, make_firm, make_office, make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client):
    office = make_office(make_firm("Own Wires"))
    client.force_login(office)
    return office


def make(client) -> FirmArchive:
    client.post(reverse("ask_for_archive"))
    outbox.run_due()
    return FirmArchive.objects.get()


def test_archive_goes_from_asked_to_ready_when_the_background_work_is_done(client, office):
    asked = client.post(reverse("ask_for_archive"), follow=True).content.decode()
    outbox.run_due()
    ready = client.get(reverse("firm_data")).content.decode()
    assert "Asked for" in asked
    assert 'hx-trigger="every 3s"' in asked
    assert "Download" in ready
    assert "every 3s" not in ready


def test_archive_is_whole_when_it_is_downloaded(client, office):
    answer = client.get(reverse("firm_archive", args=[make(client).pk]))
    with ZipFile(io.BytesIO(b"".join(answer.streaming_content))) as archive:
        assert archive.testzip() is None
        assert "Own Wires" in archive.read("README.txt").decode()
    assert "attachment" in answer["Content-Disposition"]


def test_one_is_made_at_a_time_when_the_button_is_pressed_twice(client, office):
    client.post(reverse("ask_for_archive"))
    html = client.post(reverse("ask_for_archive"), follow=True).content.decode()
    assert FirmArchive.objects.count() == 1
    assert "being made already" in html


def test_archive_is_not_found_and_its_file_gone_when_it_expired(client, office):
    archive = make(client)
    FirmArchive.objects.update(expires_at=timezone.now() - timedelta(minutes=1))
    assert client.get(reverse("firm_archive", args=[archive.pk])).status_code == 404
    delete_expired_archives(now=timezone.now())
    assert not archive.file.storage.exists(archive.file.name)
    assert not FirmArchive.objects.exists()


def test_archive_stays_for_a_week_when_it_is_made(client, office):
    archive = make(client)
    delete_expired_archives(now=archive.made_at + KEPT_FOR - timedelta(minutes=1))
    assert FirmArchive.objects.exists()


def test_archive_goes_with_its_file_when_the_office_deletes_it(client, office):
    archive = make(client)
    client.post(reverse("delete_archive", args=[archive.pk]))
    assert not FirmArchive.objects.exists()
    assert not archive.file.storage.exists(archive.file.name)


def test_archive_of_another_firm_is_not_found_when_it_is_asked_for(client, office):
    archive = make(client)
    client.force_login(make_office(make_firm("Other Wires")))
    assert client.get(reverse("firm_archive", args=[archive.pk])).status_code == 404
    assert client.post(reverse("delete_archive", args=[archive.pk])).status_code == 404


def test_crew_is_led_away_when_they_open_the_firms_data(client, office):
    archive = make(client)
    client.force_login(make_crew_user(make_person(office.firm)))
    assert client.get(reverse("firm_data")).status_code == 302
    assert client.get(reverse("firm_archive", args=[archive.pk])).status_code == 302
    assert client.post(reverse("ask_for_archive")).status_code == 403


def test_another_may_be_asked_for_when_the_last_was_given_up(client, office):
    client.post(reverse("ask_for_archive"))
    OutboxEntry.objects.update(state="dead", last_error="OSError: disk full")
    html = client.get(reverse("firm_data")).content.decode()
    client.post(reverse("ask_for_archive"))
    assert "not made" in html
    assert FirmArchive.objects.count() == 2

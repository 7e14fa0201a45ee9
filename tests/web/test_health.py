from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import LazySettings
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.backups import Manifest
from jobs.models import Firm, OutboxEntry
from tests.factories import make_crew_user, make_firm, make_office, make_person

pytestmark = pytest.mark.django_db

State = OutboxEntry.State


@pytest.fixture
def firm(settings: LazySettings, tmp_path: Path) -> Firm:
    settings.BACKUP_DIR = tmp_path
    return make_firm()


@pytest.fixture
def office(client: Client, firm: Firm) -> Client:
    client.force_login(make_office(firm))
    return client


def page(client: Client) -> str:
    return client.get(reverse("health")).content.decode()


def make_entry(firm: Firm | None, state: str = State.WAITING, **fields: object) -> OutboxEntry:
    return OutboxEntry.objects.create(
        firm=firm, key=f"k{OutboxEntry.objects.count()}", task="send_notice", state=state,
        due_at=timezone.now() - timedelta(hours=2), **fields,
    )


def make_listed(folder: Path, *, hours_old: int) -> None:
    made = timezone.now() - timedelta(hours=hours_old)
    Manifest(made.isoformat(), "sqlite", "", {}, {}, {}, folder / "2026-01-01T000000Z.json").write()


def test_missing_backup_is_told_when_none_was_made(office: Client) -> None:
    assert "none yet: make one" in page(office)


@pytest.mark.parametrize("hours_old, words", [(3, "proved 3 hours ago"), (80, "see to it")])
def test_backup_has_its_age_when_one_was_made(office: Client, tmp_path: Path, hours_old: int, words: str) -> None:
    make_listed(tmp_path, hours_old=hours_old)
    assert words in page(office)


def test_late_work_is_told_when_nobody_does_it(office: Client, firm: Firm) -> None:
    make_entry(firm)
    assert "1 waiting, the oldest for 2 hours: is a worker running?" in page(office)


def test_other_firms_work_is_not_shown_when_it_was_given_up(office: Client) -> None:
    make_entry(make_firm("Another firm"), State.DEAD, last_error="theirs")
    assert "theirs" not in page(office)


def test_work_waits_again_when_the_office_tries_again(office: Client, firm: Firm) -> None:
    entry = make_entry(firm, State.DEAD, attempts=5, last_error="The mail server is away.")
    assert "The mail server is away." in page(office)
    office.post(reverse("try_again", args=[entry.pk]))
    entry.refresh_from_db()
    assert (entry.state, entry.attempts) == (State.WAITING, 0)


def test_other_firms_work_is_not_found_when_it_is_tried_again(office: Client) -> None:
    entry = make_entry(make_firm("Another firm"), State.DEAD)
    assert office.post(reverse("try_again", args=[entry.pk])).status_code == 404


def test_crew_is_sent_away_when_it_asks_how_the_program_is(client: Client, firm: Firm) -> None:
    client.force_login(make_crew_user(make_person(firm)))
    assert client.get(reverse("health")).status_code == 302

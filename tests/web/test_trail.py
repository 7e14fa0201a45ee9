import pytest
from django.db import Error, transaction
from django.test import Client
from django.urls import reverse

from jobs.models import Firm, Job, TrailEntry, User
from jobs.queries import trail
from tests.factories import make_crew_user, make_firm, make_job, make_office, make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def job() -> Job:
    return make_job(make_firm(), "Mill Lane")


@pytest.fixture
def nell(job: Job) -> User:
    return make_office(job.firm, "nell")


@pytest.fixture
def office(client: Client, nell: User) -> Client:
    client.force_login(nell)
    return client


def add_day(client: Client, **changed: str) -> int:
    details = {"on": "2030-06-12", "is_working": "rests", "name": "Summer shut-down", "csrfmiddlewaretoken": "secret"} | changed
    return client.post(reverse("add_firm_day"), details).status_code


def page(client: Client, **asked: object) -> str:
    return client.get(reverse("trail"), asked).content.decode()


def test_change_is_on_the_trail_when_the_office_makes_it(office: Client) -> None:
    assert add_day(office) == 302
    shown = page(office)
    assert all(words in shown for words in ("Add firm day", "nell", "Summer shut-down"))


def test_token_stays_out_when_a_form_is_noted(office: Client) -> None:
    add_day(office)
    assert "csrfmiddlewaretoken" not in TrailEntry.objects.get().entered


def test_nothing_is_noted_when_a_form_was_refused(office: Client) -> None:
    assert add_day(office, on="never") == 422
    assert not TrailEntry.objects.exists()


def test_job_is_named_when_the_change_was_on_it(office: Client, job: Job) -> None:
    office.post(reverse("move_job", args=[job.pk]), {"state": "active"})
    assert TrailEntry.objects.get().job_pk == job.pk
    assert "Mill Lane" in page(office, job=job.pk)


def test_other_changes_are_left_out_when_one_person_is_asked_for(office: Client, job: Job) -> None:
    add_day(office)
    other = make_office(job.firm, "orrin")
    assert "Summer shut-down" not in page(office, by=other.pk)


def test_other_firms_changes_are_not_shown_when_the_trail_is_read(office: Client) -> None:
    stranger = Client()
    stranger.force_login(make_office(make_firm("Another firm")))
    add_day(stranger)
    assert "Summer shut-down" not in page(office)


def test_older_changes_are_a_page_away_when_there_are_many(
    office: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(trail, "PAGE", 1)
    add_day(office)
    add_day(office, on="2030-06-13", name="Another day")
    newest = TrailEntry.objects.order_by("-pk").first()
    assert f"?before={newest.pk}" in page(office)
    assert "Summer shut-down" in page(office, before=newest.pk)


def test_everything_shows_when_the_question_makes_no_sense(office: Client) -> None:
    add_day(office)
    assert "Summer shut-down" in page(office, by="x", before="10000000000000000000000")


def test_entry_stays_as_it_was_when_somebody_edits_it(office: Client) -> None:
    add_day(office)
    with pytest.raises(Error, match="never edited"), transaction.atomic():
        TrailEntry.objects.update(what="nothing")


def test_entry_stays_when_somebody_deletes_it(office: Client) -> None:
    add_day(office)
    with pytest.raises(Error, match="never deleted"), transaction.atomic():
        TrailEntry.objects.all().delete()
    assert TrailEntry.objects.count() == 1


def test_entries_go_when_their_firm_goes(office: Client, job: Job) -> None:
    add_day(office)
    Firm.objects.filter(pk=job.firm_id).update(is_forgetting=True)
    job.firm.delete()
    assert not TrailEntry.objects.exists()


def test_crew_is_sent_away_when_it_asks_for_the_trail(client: Client, job: Job) -> None:
    client.force_login(make_crew_user(make_person(job.firm)))
    assert client.get(reverse("trail")).status_code == 302

"""The page bench on a small firm: what is measured, and what it says when it cannot be."""

import pytest
from django.urls import reverse

from jobs.management.bench import BenchError, lighthouse
from jobs.management.bench.pages import list_pages, measure, new_client
from jobs.management.bench.scratch import scratch_database
from jobs.models import Firm, Room
from tests.factories import make_area, make_firm, make_job, make_office, make_room

pytestmark = [pytest.mark.once, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def firm() -> Firm:
    firm = make_firm()
    make_room(make_area(make_job(firm)))
    return firm


@pytest.fixture
def office(firm):
    client = new_client()
    client.force_login(make_office(firm))
    return client


def test_page_is_measured_beside_the_bare_view(office):
    row = measure(office, reverse("crew"), repeats=2)
    assert min(row.milliseconds, row.ratio, row.changed_milliseconds, row.changed_ratio) > 0
    assert row.queries == row.changed_queries >= 3  # session, user and people at the least
    assert 500 < row.gzipped_bytes < 60_000


def test_page_that_is_kept_is_measured_before_and_after_a_change(office):
    row = measure(office, reverse("week"), repeats=2)
    assert row.queries == 3 < row.changed_queries


def test_page_is_measured_after_other_changes_too_when_they_are_given(office, firm):
    changes = (lambda: None, lambda: Room.objects.update(name="Kitchen"))
    row = measure(office, reverse("job_list"), 1, changes)
    assert row.ticked_ratio > 0 < row.moved_ratio


def test_every_main_page_answers_when_nothing_is_booked(office):
    assert [path for path in list_pages().values() if office.get(path).status_code != 200] == []


def test_page_that_answers_with_something_else_is_not_measured(office):
    path = reverse("site_room", args=[Room.objects.get().pk + 1])
    with pytest.raises(BenchError, match="answers 404"):
        measure(office, path, repeats=1)


def test_scratch_database_is_empty_and_leaves_the_other_as_it_was(firm, settings):
    settings.MIGRATION_MODULES = {}  # the test run makes its own tables without migrations
    with scratch_database() as folder:
        assert not Firm.objects.exists()
        make_firm("Scratch")
        assert (folder / "bench.sqlite3").is_file()
    assert [row.name for row in Firm.objects.all()] == [firm.name]


def test_no_scores_are_wanted_when_lighthouse_is_not_named(monkeypatch):
    monkeypatch.delenv("LIGHTHOUSE", raising=False)
    assert lighthouse.find_lighthouse() is None


def test_it_is_said_how_to_get_lighthouse_when_the_named_file_is_missing(monkeypatch, tmp_path):
    monkeypatch.setenv("LIGHTHOUSE", str(tmp_path / "index.js"))
    with pytest.raises(BenchError, match="lighthouse@12"):
        lighthouse.find_lighthouse()

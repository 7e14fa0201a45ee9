from datetime import timedelta

import pytest
from axes.models import AccessAttempt
from django.contrib.sessions.models import Session

from jobs.actions.housekeeping import forget_old_rows
from jobs.models import OutboxEntry, StoresUpload, SurveyUpload
from tests.factories import NOW, make_firm, make_job

pytestmark = pytest.mark.django_db


def make_entry(key: str, days_old: int, state: str = OutboxEntry.State.DONE) -> OutboxEntry:
    then = NOW - timedelta(days=days_old)
    done_at = then if state == OutboxEntry.State.DONE else None
    return OutboxEntry.objects.create(key=key, task="note", due_at=then, state=state, done_at=done_at)


def test_done_work_is_forgotten_when_it_is_a_month_old() -> None:
    make_entry("old", days_old=31)
    make_entry("new", days_old=29)
    forget_old_rows(now=NOW)
    assert [entry.key for entry in OutboxEntry.objects.all()] == ["new"]


def test_dead_work_is_kept_when_it_is_a_month_old() -> None:
    make_entry("dead", days_old=31, state=OutboxEntry.State.DEAD)
    forget_old_rows(now=NOW)
    assert OutboxEntry.objects.filter(key="dead").exists()


def test_sessions_are_forgotten_when_they_have_expired() -> None:
    Session.objects.create(session_key="over", session_data="", expire_date=NOW - timedelta(seconds=1))
    Session.objects.create(session_key="live", session_data="", expire_date=NOW + timedelta(seconds=1))
    forget_old_rows(now=NOW)
    assert [session.pk for session in Session.objects.all()] == ["live"]


def test_failed_sign_ins_are_forgotten_when_they_are_a_month_old() -> None:
    attempt = AccessAttempt.objects.create(username="olwen", ip_address="192.0.2.1", failures_since_start=1)
    AccessAttempt.objects.filter(pk=attempt.pk).update(attempt_time=NOW - timedelta(days=31))
    forget_old_rows(now=NOW)
    assert not AccessAttempt.objects.exists()


def test_read_lists_are_forgotten_when_they_are_a_month_old() -> None:
    job = make_job(make_firm())
    for days, name in ((31, "old.csv"), (29, "new.csv")):
        told = {"firm": job.firm, "file_name": name, "text": "", "made_at": NOW - timedelta(days=days)}
        StoresUpload.objects.create(kind=StoresUpload.Kind.STOCK, **told)
        SurveyUpload.objects.create(job=job, **told)
    forget_old_rows(now=NOW)
    assert [upload.file_name for upload in (*StoresUpload.objects.all(), *SurveyUpload.objects.all())] == ["new.csv"] * 2

"""Notices through Celery on a real Redis that is killed, emptied or frozen: every one leaves, each is written once."""

import signal
import threading
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
import redis
from django.db import connections
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from jobs import messenger
from jobs.core.stages import Half
from jobs.models import Delivery, Notice, OutboxEntry, Plan, Span
from tests.factories import make_contact, make_firm, make_job, make_office, make_plan, make_visit, make_visit_kind
from tests.faults.brokers import use_broker
from tests.faults.processes import kill_group, wait_for
from tests.faults.test_broker import let_leases_run_out, send_sweeps, worker
from tests.letterbox import Letterbox, mail_server
from tests.services import free_port, private_redis

pytestmark = pytest.mark.django_db(transaction=True)

RECIPIENTS = 30
FROZEN_SECONDS = 1.5
"""Longer than the worker waits for an answer."""
MOST_WAITED_SECONDS = 3
"""The limit is one second; the rest is for a machine that is busy with other tests."""


@pytest.fixture
def draft() -> Plan:
    """A draft with a visit of each of many contacts; at no hour is it quiet."""
    firm = make_firm(quiet_from="00:00", quiet_until="00:00", has_quiet_days=False)
    plan, kind, starts_on = make_plan(firm), make_visit_kind(firm), timezone.localdate() + timedelta(days=30)
    for number in range(RECIPIENTS):
        visit = make_visit(make_job(firm), make_contact(firm, name=f"Contact {number}"), kind)
        Span.objects.create(
            firm=firm, plan=plan, visit=visit, starts_on=starts_on, starts_half=Half.MORNING, ends_on=starts_on,
            ends_half=Half.AFTERNOON,
        )
    return plan


def issue(plan: Plan) -> int:
    """As the office does it, by the page; the answer's status."""
    client = Client()
    client.force_login(make_office(plan.firm), backend="django.contrib.auth.backends.ModelBackend")
    return client.post(f"/plan/{plan.pk}/issue/", {"version": plan.version}).status_code


def all_sent() -> bool:
    return not OutboxEntry.objects.filter(task="send_notice").exclude(state=OutboxEntry.State.DONE).exists()


def lost(letterbox: Letterbox) -> set[str]:
    """Notices of which no mail arrived."""
    notices = set(Notice.objects.values_list("message_id", flat=True))
    assert len(notices) == RECIPIENTS
    return notices - {message["Message-ID"] for message in letterbox.messages}


@pytest.fixture
def letterbox(settings: Settings, monkeypatch: pytest.MonkeyPatch) -> Iterator[Letterbox]:
    """Where the workers' mail arrives."""
    with mail_server(settings) as box:
        monkeypatch.setenv("REWIRE_EMAIL_HOST", settings.EMAIL_HOST)
        monkeypatch.setenv("REWIRE_EMAIL_PORT", str(settings.EMAIL_PORT))
        yield box


def test_every_notice_leaves_when_worker_and_broker_are_killed_at_it(draft: Plan, letterbox: Letterbox, tmp_path: Path) -> None:
    log, port = tmp_path / "log", free_port()
    assert issue(draft) == 302
    with private_redis(port=port) as first, worker(first.url, log) as killed:
        wait_for(lambda: Delivery.objects.count() >= 2, "The second mail", log, by=killed)
        kill_group(killed)
        first.process.kill()
    let_leases_run_out()
    with private_redis(port=port) as second, worker(second.url, log) as started:
        send_sweeps(second.url)
        wait_for(all_sent, "The rest of the mail", log, by=started)
    assert (lost(letterbox), Delivery.objects.count()) == (set(), RECIPIENTS)


def test_every_notice_leaves_when_the_broker_is_emptied_and_frozen(draft: Plan, letterbox: Letterbox, tmp_path: Path) -> None:
    log = tmp_path / "log"
    assert issue(draft) == 302
    with private_redis() as server, worker(server.url, log) as started:
        wait_for(lambda: Delivery.objects.exists(), "The first mail", log, by=started)
        redis.from_url(server.url).flushdb()
        server.process.send_signal(signal.SIGSTOP)
        time.sleep(FROZEN_SECONDS)
        server.process.send_signal(signal.SIGCONT)
        send_sweeps(server.url)
        wait_for(all_sent, "The rest of the mail", log, by=started)
    assert (lost(letterbox), Delivery.objects.count()) == (set(), RECIPIENTS)


@pytest.fixture
def waited(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """Seconds the page waited for the broker, each time it turned to it."""
    seconds: list[float] = []
    tell = messenger._tell_celery

    def timed(entry_pk: int) -> bool:
        before = time.monotonic()
        try:
            return tell(entry_pk)
        finally:
            seconds.append(time.monotonic() - before)

    monkeypatch.setattr(messenger, "_tell_celery", timed)
    return seconds


@pytest.mark.parametrize("is_frozen", [True, False])
def test_issuing_waits_for_the_broker_once_and_briefly_when_it_is_frozen_or_gone(
    draft, is_frozen, waited, settings, monkeypatch
) -> None:
    """Each of the thirty messages would wait anew without the rest, and for ever without the socket's limit."""
    answers: list[int] = []

    def in_a_thread() -> None:
        answers.append(issue(draft))
        connections.close_all()

    with private_redis() as server:
        if is_frozen:
            server.process.send_signal(signal.SIGSTOP)
        else:
            server.process.kill()
            server.process.wait()
        use_broker(server.url, settings, monkeypatch)
        issuing = threading.Thread(target=in_a_thread, daemon=True)
        issuing.start()
        issuing.join(60)
    assert answers == [302]
    assert OutboxEntry.objects.filter(task="send_notice", state="waiting").count() == RECIPIENTS
    assert (len(waited), sum(waited) < MOST_WAITED_SECONDS) == (1, True)

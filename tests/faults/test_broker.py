"""Celery on a real Redis that is killed, emptied or frozen; the outbox makes up for what the broker loses."""

import signal
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
import redis
from celery import Celery
from django.utils import timezone
from pytest_django import Settings

from jobs import messenger
from jobs.models import OutboxEntry
from tests.faults.brokers import use_broker
from tests.faults.effects import ask_for, effects
from tests.faults.processes import environment, kill_group, process, wait_for
from tests.services import free_port, private_redis

pytestmark = pytest.mark.django_db(transaction=True)


@contextmanager
def worker(redis_url: str, log: Path) -> Iterator[subprocess.Popen]:
    options = ["--concurrency", "2", "--include", "tests.faults.effects", "--loglevel", "info"]
    variables = environment(redis_url)
    with process("-m", "celery", "-A", "rewire", "worker", *options, log=log, variables=variables) as started:
        yield started


def all_done() -> bool:
    return not OutboxEntry.objects.exclude(state=OutboxEntry.State.DONE).exists()


def let_leases_run_out() -> None:
    OutboxEntry.objects.filter(state=OutboxEntry.State.LEASED).update(lease_until=timezone.now())


def test_work_is_done_by_the_worker_when_nothing_told_it(redis_url: str, tmp_path: Path) -> None:
    log = tmp_path / "log"
    ask_for(3, due_at=timezone.now())
    with worker(redis_url, log) as started:
        wait_for(all_done, "The work", log, by=started)
    assert effects() == {f"Firm {number}": 1 for number in range(3)}


def test_every_effect_happens_once_when_worker_and_broker_are_killed_and_sweeps_repeat(tmp_path: Path) -> None:
    log, port = tmp_path / "log", free_port()
    ask_for(20, due_at=timezone.now())
    with private_redis(port=port) as first, worker(first.url, log) as killed:
        wait_for(lambda: len(effects()) >= 2, "The second effect", log, by=killed)
        kill_group(killed)
        first.process.kill()  # and with it every message it held
    assert 2 <= len(effects()) < 20
    let_leases_run_out()
    with private_redis(port=port) as second, worker(second.url, log) as started:
        send_sweeps(second.url)
        wait_for(all_done, "The rest of the work", log, by=started)
    assert effects() == {f"Firm {number}": 1 for number in range(20)}


def test_every_effect_happens_once_when_the_broker_is_emptied_at_work(redis_url: str, tmp_path: Path) -> None:
    log = tmp_path / "log"
    ask_for(20, due_at=timezone.now())
    with worker(redis_url, log) as started:
        wait_for(lambda: len(effects()) >= 2, "The second effect", log, by=started)
        redis.from_url(redis_url).flushall()
        send_sweeps(redis_url)
        wait_for(all_done, "The rest of the work", log, by=started)
    assert effects() == {f"Firm {number}": 1 for number in range(20)}


def send_sweeps(redis_url: str) -> None:
    app = Celery(broker=redis_url)
    for _ in range(2):
        app.send_task("jobs.tasks.sweep")


@pytest.mark.once
def test_telling_returns_when_the_broker_is_frozen(settings: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
    with private_redis() as server:
        server.process.send_signal(signal.SIGSTOP)
        use_broker(server.url, settings, monkeypatch)
        answers: list[bool] = []
        telling = threading.Thread(target=lambda: answers.append(messenger.tell(1)), daemon=True)
        telling.start()
        telling.join(15)
    assert answers == [False]

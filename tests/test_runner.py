from pathlib import Path
from threading import Barrier, Thread

import pytest
from django.db import connection
from django.utils import timezone

from jobs import messenger, outbox
from jobs.models import OutboxEntry
from jobs.runner import Runner
from tests.faults.effects import ask_for, effects
from tests.faults.processes import process, wait_for

pytestmark = pytest.mark.django_db(transaction=True)
NEVER = 3600.0
"""Seconds between looks, so long that only being woken explains that work was done."""


def wait_for_effects(count: int, log: Path) -> None:
    log.touch()
    wait_for(lambda: len(effects()) == count, "The work", log)


@pytest.fixture
def runner() -> Runner:
    messenger.work_arrived.clear()
    started = Runner(look_every_seconds=NEVER)
    started.start()
    yield started
    started.stop()


def test_runner_works_at_once_when_a_change_commits(runner: Runner, tmp_path: Path) -> None:
    ask_for(2, due_at=timezone.now())
    wait_for_effects(2, tmp_path / "log")


def test_runner_goes_on_when_a_round_goes_wrong(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    troubles = iter([OSError("disk away")])

    def lay_schedule(now: object) -> None:
        for trouble in troubles:
            raise trouble

    monkeypatch.setattr(outbox, "lay_schedule", lay_schedule)
    ask_for(1, due_at=timezone.now())
    runner = Runner(threads=1, look_every_seconds=0.01)
    runner.start()
    wait_for_effects(1, tmp_path / "log")
    runner.stop()


def test_repeating_work_is_laid_once_when_many_schedulers_run_at_the_same_moment() -> None:
    now, gate = timezone.now(), Barrier(4)

    def lay() -> None:
        gate.wait()
        outbox.lay_schedule(now)
        connection.close()

    schedulers = [Thread(target=lay) for _ in range(4)]
    for scheduler in schedulers:
        scheduler.start()
    for scheduler in schedulers:
        scheduler.join()
    assert OutboxEntry.objects.filter(task="forget_old_rows").count() == 1


def test_work_of_other_processes_is_found_when_the_runner_command_runs(tmp_path: Path) -> None:
    log = tmp_path / "log"
    with process("manage.py", "runner", log=log) as command:
        wait_for(OutboxEntry.objects.filter(state="done").exists, "The first round", log, by=command)
        outbox.enqueue(key="late", task="forget_old_rows", payload={}, due_at=timezone.now(), firm=None)
        wait_for(OutboxEntry.objects.filter(key="late", state="done").exists, "The later work", log, by=command)
        command.terminate()
        assert command.wait(30) == 0

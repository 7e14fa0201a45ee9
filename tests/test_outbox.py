from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import partial

import pytest
from django.db import transaction

from jobs import messenger, outbox
from jobs.models import OutboxEntry
from tests.factories import NOW, make_firm

State = OutboxEntry.State
pytestmark = pytest.mark.django_db


@pytest.fixture
def effects(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A quick, a slow and a failing task for one test, and the list of what they did."""
    done: list[str] = []
    outbox._load_tasks()
    monkeypatch.setattr(outbox, "_tasks", {})
    outbox.task("note")(lambda word: done.append(word))
    outbox.slow_task("note_later")(lambda word: partial(done.append, word))
    outbox.task("fail")(lambda: 1 / 0)
    return done


def ask(key: str = "first", task: str = "note", *, due_at: datetime = NOW, **payload: object) -> OutboxEntry:
    return outbox.enqueue(key=key, task=task, payload=payload, due_at=due_at, firm=None)


def run_at(now: datetime, entry: OutboxEntry) -> bool:
    return outbox.run(entry, clock=lambda: now)


def test_work_is_done_when_it_is_due(effects: list[str]) -> None:
    entry = ask(word="hello")
    assert outbox.run_due(NOW) == 1
    assert effects == ["hello"]
    entry.refresh_from_db()
    assert (entry.state, entry.done_at, entry.attempts) == (State.DONE, NOW, 1)


def test_work_waits_when_it_is_not_yet_due(effects: list[str]) -> None:
    ask(word="later", due_at=NOW + timedelta(seconds=1))
    assert outbox.run_due(NOW) == 0
    assert effects == []


def test_work_is_asked_for_once_when_its_key_is_known(effects: list[str]) -> None:
    assert ask(word="one") == ask(word="two")
    outbox.run_due(NOW)
    assert effects == ["one"]


def test_oldest_work_comes_first_when_several_are_due(effects: list[str]) -> None:
    ask("b", word="second", due_at=NOW - timedelta(minutes=1))
    ask("a", word="first", due_at=NOW - timedelta(minutes=2))
    outbox.run_due(NOW)
    assert effects == ["first", "second"]


def test_slow_work_computes_outside_the_transaction_when_it_runs(effects: list[str]) -> None:
    ask(task="note_later", word="computed")
    assert outbox.run_due(NOW) == 1
    assert effects == ["computed"]


def test_entry_is_done_once_when_it_is_delivered_twice(effects: list[str]) -> None:
    entry = ask(word="once")
    assert [outbox.run_entry(entry.pk, clock=lambda: NOW) for _ in range(2)] == [True, False]
    assert effects == ["once"]


def test_leased_entry_is_refused_when_another_runner_asks(effects: list[str]) -> None:
    entry = ask(word="mine")
    assert outbox.claim(now=NOW) == entry
    assert outbox.claim(now=NOW + outbox.QUICK_LEASE - timedelta(seconds=1)) is None


@pytest.mark.parametrize("task", ["note", "note_later"])
def test_slow_runner_writes_nothing_when_its_lease_was_taken_over(effects: list[str], task: str) -> None:
    ask(task=task, word="written")
    slow = outbox.claim(now=NOW)
    later = NOW + outbox.SLOW_LEASE
    quick = outbox.claim(now=later)
    assert (run_at(later, quick), run_at(later, slow)) == (True, False)
    assert effects == ["written"]


def test_effect_is_undone_when_the_task_fails_after_it(effects: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    def make_and_fail() -> None:
        make_firm(name="Half-made")
        raise ValueError("no more cable")

    outbox.task("half")(make_and_fail)
    entry = ask(task="half")
    outbox.run_due(NOW)
    entry.refresh_from_db()
    assert not type(make_firm()).objects.filter(name="Half-made").exists()
    assert (entry.state, entry.last_error) == (State.WAITING, "ValueError: no more cable")


def test_failed_entry_waits_longer_when_it_fails_again(effects: list[str]) -> None:
    entry = ask(task="fail")
    waits = []
    now = NOW
    for _ in range(2):
        outbox.run_due(now)
        entry.refresh_from_db()
        waits.append(entry.due_at - now)
        now = entry.due_at
    assert waits == [timedelta(minutes=1), timedelta(minutes=5)]


def fail_for_good() -> OutboxEntry:
    entry = ask(task="fail")
    for days in range(outbox.MAX_ATTEMPTS + 1):
        outbox.run_due(NOW + timedelta(days=days))
    entry.refresh_from_db()
    return entry


def test_entry_is_given_up_when_it_failed_five_times(effects: list[str]) -> None:
    entry = fail_for_good()
    assert (entry.state, entry.attempts) == (State.DEAD, 5)
    assert "ZeroDivisionError" in entry.last_error


def test_dead_entry_is_tried_again_when_it_is_revived(effects: list[str]) -> None:
    entry = fail_for_good()
    outbox.revive(entry, now=NOW)
    assert outbox.claim(now=NOW) == entry


def test_entry_is_given_up_when_its_runner_died_five_times(effects: list[str]) -> None:
    entry = ask(word="poison")
    for days in range(outbox.MAX_ATTEMPTS):
        assert outbox.claim(now=NOW + timedelta(days=days)) == entry
    assert outbox.run_due(NOW + timedelta(days=9)) == 0
    entry.refresh_from_db()
    assert (entry.state, effects) == (State.DEAD, [])


def test_entry_fails_with_its_name_when_no_task_is_called_so(effects: list[str]) -> None:
    entry = ask(task="forgotten")
    outbox.run_due(NOW)
    entry.refresh_from_db()
    assert entry.last_error == "LookupError: No task is called 'forgotten'."


def test_repeating_work_is_laid_once_when_several_schedulers_run(effects: list[str]) -> None:
    outbox.task("note_hourly", every=timedelta(hours=1), at=timedelta(minutes=10))(lambda: None)
    for minutes in (0, 1, 39, 40):
        outbox.lay_schedule(NOW + timedelta(minutes=minutes))
    assert list(OutboxEntry.objects.values_list("key", "due_at")) == [
        ("note_hourly:2027-01-12T09:10:00Z", datetime(2027, 1, 12, 9, 10, tzinfo=UTC)),
        ("note_hourly:2027-01-12T10:10:00Z", datetime(2027, 1, 12, 10, 10, tzinfo=UTC)),
    ]


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The entries that runners were told of."""
    pks: list[int] = []
    monkeypatch.setattr(messenger, "tell", lambda pk: pks.append(pk) is None)
    return pks


def test_runners_are_told_when_the_transaction_has_committed(
    told: list[int], django_capture_on_commit_callbacks: Callable
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        entry = ask(word="news")
        assert told == []
    assert told == [entry.pk]


def test_nobody_is_told_when_the_change_is_undone(told: list[int], django_capture_on_commit_callbacks: Callable) -> None:
    with django_capture_on_commit_callbacks(execute=True), transaction.atomic():
        ask(word="never")
        transaction.set_rollback(True)
    assert told == []


def test_sweep_tells_of_due_and_abandoned_work_when_messages_were_lost(told: list[int], effects: list[str]) -> None:
    abandoned = ask("abandoned", word="a")
    outbox.claim(now=NOW)
    lost = ask("lost", word="b")
    ask("not yet", word="c", due_at=NOW + timedelta(days=1))
    assert outbox.sweep(NOW + outbox.QUICK_LEASE) == 2
    assert told == [abandoned.pk, lost.pk]

"""Background work that a crash neither loses nor, in the database, does twice.

An action calls `enqueue` inside its own transaction; `jobs.runner` or a Celery worker does the work later. A runner
leases an entry, and the effect is written in one transaction with "done", which only the holder of the lease may
write. Effects outside the database (mail) can repeat after a crash and therefore carry a stable identity.
"""

import logging
import os
import socket
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache, partial

from django.db import connection, transaction
from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.module_loading import autodiscover_modules

from jobs import messenger
from jobs.models import Firm, OutboxEntry
from rewire.named_firm import work_for

MAX_ATTEMPTS = 5
RETRY_AFTER = timedelta(minutes=1)
"""Wait after the first failure; five times as long after each further one, so the fifth attempt is 2.6 hours later."""
QUICK_LEASE = timedelta(minutes=2)
SLOW_LEASE = timedelta(minutes=10)
"""A lease must outlast the work it covers; after it, another runner takes over and the first one writes nothing."""
EPOCH = datetime(2000, 1, 1, tzinfo=UTC)

State = OutboxEntry.State
Clock = Callable[[], datetime]
log = logging.getLogger(__name__)


class LeaseLostError(Exception):
    """Another runner took the entry over; nothing of this run is kept."""


@dataclass(frozen=True)
class Task:
    """What to do for an entry: `run` gets the payload as keyword arguments."""

    run: Callable
    lease: timedelta
    is_slow: bool
    every: timedelta | None
    at: timedelta


_tasks: dict[str, Task] = {}


def task(name: str, *, every: timedelta | None = None, at: timedelta = timedelta(0)) -> Callable:
    """Register a quick task: it runs inside the transaction that marks the entry done.

    With `every`, one entry falls due per interval, `at` after the interval's start (UTC).
    """
    return _register(name, lease=QUICK_LEASE, is_slow=False, every=every, at=at)


def slow_task(
    name: str, *, lease: timedelta = SLOW_LEASE, every: timedelta | None = None, at: timedelta = timedelta(0)
) -> Callable:
    """Register a task that computes or talks to the outside first, while no transaction is open.

    It may return a function without arguments; that one writes, in the transaction that marks the entry done.
    """
    return _register(name, lease=lease, is_slow=True, every=every, at=at)


def _register(name: str, **fields: object) -> Callable:
    def register(run: Callable) -> Callable:
        _tasks[name] = Task(run=run, **fields)
        return run

    return register


def enqueue(*, key: str, task: str, payload: dict, due_at: datetime, firm: Firm | None) -> OutboxEntry:
    """Ask for work, once per key; call it in the transaction that makes the work necessary."""
    wanted = {"task": task, "payload": payload, "due_at": due_at, "firm": firm}
    entry, is_new = OutboxEntry.objects.get_or_create(key=key, defaults=wanted)
    if is_new:
        transaction.on_commit(partial(messenger.tell, entry.pk), robust=True)
    return entry


def claim(*, now: datetime, pk: int | None = None) -> OutboxEntry | None:
    """Lease the entry `pk`, or whichever has been due longest; None when there is nothing to do."""
    due = _due(now) if pk is None else _due(now).filter(pk=pk)
    if not due.exists():  # spares SQLite its write lock
        return None
    with transaction.atomic():
        entry = _unlocked(due).first()
        if entry is not None:
            _lease(entry, now)
    return entry


def run_entry(pk: int, *, clock: Clock = timezone.now) -> bool:
    """Do this entry if it is due and free; True when this call did it."""
    entry = claim(now=clock(), pk=pk)
    return entry is not None and run(entry, clock=clock)


def run_due(now: datetime | None = None) -> int:
    """Do everything that is due, oldest first; how many entries were taken up."""
    clock = timezone.now if now is None else lambda: now
    bury_exhausted(clock())
    taken_up = 0
    while entry := claim(now=clock()):
        run(entry, clock=clock)
        taken_up += 1
    return taken_up


def sweep(now: datetime | None = None) -> int:
    """Tell the Celery workers again of everything due, so that a message the broker lost costs only time."""
    now = now or timezone.now()
    bury_exhausted(now)
    due = list(_due(now).values_list("pk", flat=True)[:1000])
    return sum(messenger.tell(pk) for pk in due)


def run(entry: OutboxEntry, *, clock: Clock = timezone.now) -> bool:
    """Do a leased entry; True when its effect and its "done" were written, together."""
    try:
        with work_for(entry.firm_id):
            _do(entry, _task_of(entry), clock)
    except LeaseLostError:
        log.warning("Outbox entry %s was taken over by another runner.", entry.key)
        return False
    except Exception as error:
        log.exception("Outbox entry %s failed.", entry.key)
        _put_back(entry, error, clock())
        return False
    return True


def bury_exhausted(now: datetime) -> int:
    """Give up on entries whose last allowed attempt ended without a word: each time, the runner died."""
    return OutboxEntry.objects.filter(state=State.LEASED, lease_until__lte=now, attempts__gte=MAX_ATTEMPTS).update(
        state=State.DEAD, lease_until=None, last_error=f"The runner stopped {MAX_ATTEMPTS} times while doing this."
    )


def revive(entry: OutboxEntry, *, now: datetime) -> None:
    """Give a dead entry its attempts back."""
    revived = OutboxEntry.objects.filter(pk=entry.pk, state=State.DEAD)
    if revived.update(state=State.WAITING, attempts=0, due_at=now):
        transaction.on_commit(partial(messenger.tell, entry.pk), robust=True)


def lay_schedule(now: datetime) -> None:
    """Make sure the current interval of every repeating task has its one entry; any number of processes may call."""
    slots = [_slot(name, task, now) for name, task in _known_tasks().items() if task.every]
    known = OutboxEntry.objects.filter(key__in=[slot.key for slot in slots]).values_list("key", flat=True)
    missing = [slot for slot in slots if slot.key not in set(known)]
    OutboxEntry.objects.bulk_create(missing, ignore_conflicts=True)


def _slot(name: str, task: Task, now: datetime) -> OutboxEntry:
    first = EPOCH + task.at
    starts_at = first + (now - first) // task.every * task.every
    return OutboxEntry(key=f"{name}:{starts_at:%Y-%m-%dT%H:%M:%SZ}", task=name, due_at=starts_at)


def _due(now: datetime) -> QuerySet[OutboxEntry]:
    return OutboxEntry.objects.filter(
        Q(state=State.WAITING, due_at__lte=now) | Q(state=State.LEASED, lease_until__lte=now),
        attempts__lt=MAX_ATTEMPTS,
    ).order_by("due_at", "pk")


def _unlocked(due: QuerySet[OutboxEntry]) -> QuerySet[OutboxEntry]:
    # SQLite needs no row locks: every transaction begins IMMEDIATE, so there is one writer at a time.
    if connection.features.has_select_for_update_skip_locked:
        return due.select_for_update(skip_locked=True)
    return due


def _lease(entry: OutboxEntry, now: datetime) -> None:
    known = _known_tasks().get(entry.task)
    entry.state = State.LEASED
    entry.attempts += 1
    entry.lease_until = now + (known.lease if known else QUICK_LEASE)
    entry.lease_by = f"{socket.gethostname()[:50]}/{os.getpid()}/{uuid.uuid4().hex}"
    entry.save(update_fields=["state", "attempts", "lease_until", "lease_by"])


def _do(entry: OutboxEntry, task: Task, clock: Clock) -> None:
    write = task.run(**entry.payload) if task.is_slow else partial(task.run, **entry.payload)
    with transaction.atomic():
        _mark_done(entry, clock())
        if write:
            write()


def _mark_done(entry: OutboxEntry, now: datetime) -> None:
    # Before the effect: the row stays locked until both are committed.
    if not _held(entry).update(state=State.DONE, done_at=now, lease_until=None, last_error=""):
        raise LeaseLostError(entry.key)


def _put_back(entry: OutboxEntry, error: Exception, now: datetime) -> None:
    _held(entry).update(
        state=State.DEAD if entry.attempts >= MAX_ATTEMPTS else State.WAITING,
        due_at=now + RETRY_AFTER * 5 ** (entry.attempts - 1),
        lease_until=None,
        last_error=f"{type(error).__name__}: {error}"[:2000],
    )


def _held(entry: OutboxEntry) -> QuerySet[OutboxEntry]:
    return OutboxEntry.objects.filter(pk=entry.pk, state=State.LEASED, lease_by=entry.lease_by)


def _task_of(entry: OutboxEntry) -> Task:
    try:
        return _known_tasks()[entry.task]
    except KeyError:
        raise LookupError(f"No task is called {entry.task!r}.") from None


def _known_tasks() -> dict[str, Task]:
    _load_tasks()
    return _tasks


@cache
def _load_tasks() -> None:
    # Late, since jobs.tasks imports the actions and those import this module.
    autodiscover_modules("tasks")

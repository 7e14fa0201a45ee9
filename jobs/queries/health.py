"""Whether the installation is well: room on the disk, backups, background work, the plan."""

import shutil
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db.models import Q, QuerySet

from jobs.backups import list_manifests
from jobs.models import Firm, OutboxEntry, Plan

LEAST_FREE_MB = 200
"""Below this, SQLite may fail to write even what frees room."""
BACKUP_IS_OLD = timedelta(hours=36)
WORK_IS_LATE = timedelta(minutes=15)

State = OutboxEntry.State


@dataclass(frozen=True)
class Reading:
    """One thing that is well or not, and what to do about it."""

    name: str
    words: str
    is_well: bool


def list_readings(firm: Firm, now: datetime) -> list[Reading]:
    return [_disk(), _backup(now), _work(firm, now), _plan(firm, now)]


def list_given_up(firm: Firm) -> QuerySet[OutboxEntry]:
    """Background work that failed as often as it may, the firm's own and what is done for all firms."""
    return OutboxEntry.objects.filter(Q(firm=firm) | Q(firm=None), state=State.DEAD).order_by("-due_at")


def _disk() -> Reading:
    free_mb = shutil.disk_usage(settings.VAR_DIR).free // 1_000_000
    words = f"{free_mb / 1000:,.1f} GB free" if free_mb >= 1000 else f"{free_mb} MB free"
    if free_mb < LEAST_FREE_MB:
        return Reading("Disk", f"{words}: make room now, or what phones send is put off", False)
    return Reading("Disk", words, True)


def _backup(now: datetime) -> Reading:
    manifests = list_manifests(settings.BACKUP_DIR)
    if not manifests:
        return Reading("Backup", "none yet: make one with manage.py backup, and see that nights make them", False)
    age = now - manifests[-1].made
    return Reading("Backup", f"the last was proved {_ago(age)}; {_kept(len(manifests))}", age <= BACKUP_IS_OLD)


def _kept(backups: int) -> str:
    return "1 is kept" if backups == 1 else f"{backups} are kept"


def _work(firm: Firm, now: datetime) -> Reading:
    due = OutboxEntry.objects.filter(Q(firm=firm) | Q(firm=None), state=State.WAITING, due_at__lte=now, attempts=0)
    oldest = due.order_by("due_at").first()
    if oldest is None:
        return Reading("Background work", "nothing waits", True)
    late = now - oldest.due_at
    words = f"{due.count()} waiting, the oldest for {_span(late)}"
    if late > WORK_IS_LATE:
        return Reading("Background work", f"{words}: is a worker running?", False)
    return Reading("Background work", words, True)


def _plan(firm: Firm, now: datetime) -> Reading:
    last = Plan.objects.filter(firm=firm).order_by("-made_at").first()
    return Reading("Plan", f"last made {_ago(now - last.made_at)}" if last else "none was made yet", True)


def _ago(age: timedelta) -> str:
    return f"{_span(age)} ago"


def _span(age: timedelta) -> str:
    minutes = max(int(age.total_seconds() // 60), 0)
    for size, name in ((1440, "day"), (60, "hour"), (1, "minute")):
        if minutes >= size:
            number = minutes // size
            return f"{number} {name}{'' if number == 1 else 's'}"
    return "less than a minute"

"""How a piece of background work stands, in words for the page that waits for it."""

from dataclasses import dataclass
from datetime import datetime

from jobs.models import OutboxEntry


@dataclass(frozen=True)
class Work:
    """`again_at`: when it is tried again after a failure; `is_given_up`: nothing more happens by itself."""

    is_begun: bool
    has_failed: bool
    is_given_up: bool
    again_at: datetime | None


def load_work(key: str) -> Work:
    """Of the work asked for by `key`; forgotten work counts as given up."""
    entry = OutboxEntry.objects.filter(key=key).first()
    if entry is None:
        return Work(False, False, True, None)
    state, has_failed = OutboxEntry.State(entry.state), bool(entry.last_error)
    waits = state == OutboxEntry.State.WAITING
    return Work(
        is_begun=state == OutboxEntry.State.LEASED, has_failed=has_failed, is_given_up=state == OutboxEntry.State.DEAD,
        again_at=entry.due_at if waits and has_failed else None,
    )

"""The trail of what the office changed."""

from collections.abc import Mapping
from datetime import datetime

from jobs.models import TrailEntry, User

LONGEST = 200
"""Characters kept of each field."""
LEFT_OUT = ("csrfmiddlewaretoken", "op_id", "version", "calendar_address")


def note_change(*, by: User, what: str, address: str, job_pk: int | None, entered: Mapping[str, str], now: datetime) -> None:
    """Keep who sent which form with what; secrets and what only ties a form to its page are left out."""
    kept = {name: text[:LONGEST] for name, text in entered.items() if text and not _is_left_out(name)}
    TrailEntry.objects.create(
        firm_id=by.firm_id, made_by=by, made_by_name=str(by)[:150], made_at=now, what=what[:80], address=address[:200],
        job_pk=job_pk, entered=kept,
    )


def _is_left_out(name: str) -> bool:
    return name in LEFT_OUT or "password" in name

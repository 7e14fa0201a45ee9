"""Background work that was given up."""

from datetime import datetime

from django.db import transaction

from jobs import outbox
from jobs.actions.permission import require_office
from jobs.models import OutboxEntry, User


@transaction.atomic
def try_again(*, entry: OutboxEntry, by: User, now: datetime) -> None:
    """Give work its attempts back; what is done for all firms may be tried again by any firm's office."""
    require_office(by, entry.firm or by.firm)
    outbox.revive(entry, now=now)

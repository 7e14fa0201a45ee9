"""What the software does for itself at night."""

from datetime import datetime, timedelta

from axes.models import AccessAttempt
from django.contrib.sessions.models import Session
from django.db import transaction

from jobs.models import OutboxEntry

KEEP_DONE_WORK = timedelta(days=30)
KEEP_FAILED_SIGN_INS = timedelta(days=30)


@transaction.atomic
def forget_old_rows(*, now: datetime) -> None:
    """Delete finished background work, expired sessions and old failed sign-ins; nothing a person wrote."""
    OutboxEntry.objects.filter(state=OutboxEntry.State.DONE, done_at__lt=now - KEEP_DONE_WORK).delete()
    Session.objects.filter(expire_date__lt=now).delete()
    AccessAttempt.objects.filter(attempt_time__lt=now - KEEP_FAILED_SIGN_INS).delete()

"""What the software does for itself at night."""

from datetime import datetime, timedelta

from axes.models import AccessAttempt
from django.contrib.sessions.models import Session
from django.db import transaction
from django.db.models import Count

from jobs.models import FirmChange, OutboxEntry, StoresUpload, SurveyUpload

KEEP_DONE_WORK = timedelta(days=30)
KEEP_FAILED_SIGN_INS = timedelta(days=30)
KEEP_READ_LISTS = timedelta(days=30)


@transaction.atomic
def forget_old_rows(*, now: datetime) -> None:
    """Delete finished background work, expired sessions, old failed sign-ins, and lists that were read from files: what
    was saved of them is in the books, and what was not has waited long enough."""
    OutboxEntry.objects.filter(state=OutboxEntry.State.DONE, done_at__lt=now - KEEP_DONE_WORK).delete()
    Session.objects.filter(expire_date__lt=now).delete()
    AccessAttempt.objects.filter(attempt_time__lt=now - KEEP_FAILED_SIGN_INS).delete()
    StoresUpload.objects.filter(made_at__lt=now - KEEP_READ_LISTS).delete()
    SurveyUpload.objects.filter(made_at__lt=now - KEEP_READ_LISTS).delete()


@transaction.atomic
def forget_old_marks() -> None:
    """Put one new mark of change in place of a table's many: a standing it ever had does not come back."""
    many = FirmChange.objects.order_by().values("firm_number", "table_name").annotate(marks=Count("pk")).filter(marks__gt=1)
    for firm, table in many.values_list("firm_number", "table_name"):
        FirmChange.objects.filter(firm_number=firm, table_name=table).delete()
        FirmChange.objects.create(firm_number=firm, table_name=table)

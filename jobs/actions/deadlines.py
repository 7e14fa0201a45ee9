"""Deadlines from outside: dealt with in the office, and kept up in the calendars."""

from datetime import datetime

from django.db import transaction

from jobs.actions.calendar_entries import renew_deadlines
from jobs.actions.permission import Refused, require_office
from jobs.core.deadlines import Kind
from jobs.models import DeadlineMark, Firm, Job, User
from jobs.queries.deadlines import load_job_deadlines
from rewire.named_firm import work_for


@transaction.atomic
def mark_deadline(*, job: Job, kind: str, is_done: bool, by: User, now: datetime) -> DeadlineMark:
    """Say that a deadline of the job is dealt with, or is not after all. Rows are only added: who said so when stays."""
    require_office(by, job)
    Job.objects.select_for_update().get(pk=job.pk)
    row = next((row for row in load_job_deadlines(job, now) if row.deadline.kind == kind), None)
    if row is None:
        raise Refused("The job has no such deadline now. Reload the page to see which it has.")
    if row.is_done == is_done:
        raise Refused(f"“{Kind(kind).label}” was {'ticked off' if is_done else 'open again'} already.")
    mark = DeadlineMark.objects.create(firm_id=job.firm_id, job=job, kind=kind, is_done=is_done, made_by=by, made_at=now)
    renew_deadlines(firm=job.firm, now=now)
    return mark


def renew_all(*, now: datetime) -> None:
    """Every firm's calendars, each in a transaction, follow what changed: a route, a first tick, a day of handing over."""
    for firm in Firm.objects.all():
        with work_for(firm.pk):
            renew_deadlines(firm=firm, now=now)

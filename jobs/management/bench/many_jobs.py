"""A firm with many jobs: copies of one it has, each a week later than the one before, or handed over long ago."""

from collections.abc import Iterator
from datetime import date, datetime
from decimal import Decimal

from django.apps import apps
from django.db import models

from jobs.management.bench.copying import APART, NUMBERS, days_later, in_one_go, new_uuid, without_triggers
from jobs.management.bench.many_firms import NOT_COPIED
from jobs.models import Booking, CalendarEntry, InvitationMessage, Job, Pin, RoomTask, Span, TrailEntry, Visit, WorkPackage

Owned = dict[type[models.Model], set[int]]
OF_THE_PLAN = {Booking, CalendarEntry, Pin, Span}
"""What a job has only as long as it is planned."""


def copy_job(job: Job, first: int, last: int, *, leave_out: set[type[models.Model]] = frozenset(), days: int = 0) -> None:
    """Copies number `first` to `last` of a job with all its rows; copy k has its days `days` × k later."""
    owned = {model: rows for model, rows in rows_of(job).items() if model not in leave_out}
    with without_triggers(), in_one_go() as cursor:
        for model in owned:
            cursor.execute(_statement(model, owned, days), [first, last])


def hand_over_copy(job: Job, number: int, *, on: date, at: datetime) -> Job:
    """Copy `number` of a job as one that is over: everything ticked, nothing planned."""
    copy_job(job, number, number, leave_out=OF_THE_PLAN)
    done = Job.objects.get(pk=job.pk + number * APART)
    Job.objects.filter(pk=done.pk).update(state=Job.State.HANDED_OVER, finished_on=on)
    WorkPackage.objects.filter(job=done).update(finished_at=at)
    RoomTask.objects.filter(package__job=done).update(done_share=Decimal(1), done_at=at)
    Visit.objects.filter(job=done, starts_on=None).update(state=Visit.State.CANCELLED)
    Visit.objects.filter(job=done, starts_on__isnull=False).update(state=Visit.State.DONE)
    done.refresh_from_db()
    return done


def rows_of(job: Job) -> Owned:
    """Keys of the job's rows: whatever points at it, or at one of them."""
    owned: Owned = {Job: {job.pk}}
    before = 0
    while before != (before := sum(map(len, owned.values()))):
        for model, field in _pointers():
            if field.related_model in owned:
                found = model.objects.filter(firm=job.firm_id, **{f"{field.attname}__in": owned[field.related_model]})
                owned.setdefault(model, set()).update(found.values_list("pk", flat=True))
    return {model: rows for model, rows in owned.items() if rows}


def _pointers() -> Iterator[tuple[type[models.Model], models.ForeignKey]]:
    for model in apps.get_app_config("jobs").get_models():
        if model not in NOT_COPIED | {InvitationMessage, TrailEntry}:
            for field in model._meta.concrete_fields:
                if field.is_relation and field.name != "firm":
                    yield model, field


def _statement(model: type[models.Model], owned: Owned, days: int) -> str:
    fields, table = model._meta.concrete_fields, model._meta.db_table
    columns = ", ".join(f'"{field.column}"' for field in fields)
    values = ", ".join(_value(model, field, owned, days) for field in fields)
    return f'{NUMBERS} INSERT INTO "{table}" ({columns}) SELECT {values} FROM "{table}", n WHERE id IN {_keys(owned[model])}'  # noqa: S608


def _value(model: type[models.Model], field: models.Field, owned: Owned, days: int) -> str:
    column = f'"{field.column}"'
    if field.primary_key:
        return f"{column} + n.k * {APART}"
    if field.is_relation and field.related_model in owned:
        return f"{column} + CASE WHEN {column} IN {_keys(owned[field.related_model])} THEN n.k * {APART} ELSE 0 END"
    if isinstance(field, models.UUIDField):
        return new_uuid()
    if field.unique or (isinstance(field, models.CharField) and not field.choices and field.name in _names_once(model)):
        return f"{column} || '-' || n.k"
    if type(field) is models.DateField and days:
        return days_later(column, days)
    return column


def _names_once(model: type[models.Model]) -> set[str]:
    """Fields that together are unique in a firm."""
    once = [each.fields for each in model._meta.constraints if isinstance(each, models.UniqueConstraint)]
    return {name for fields in once if "firm" in fields for name in fields}


def _keys(rows: set[int]) -> str:
    return f"({', '.join(map(str, sorted(rows)))})"

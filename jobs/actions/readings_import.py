"""Bringing a file of readings into a job: kept while it is looked at, then saved whole or not at all."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from uuid import uuid5

from django.db import transaction

from jobs.actions.permission import Refused, require_office
from jobs.actions.readings import Taken, moment_of, record_readings, record_sockets, record_supply
from jobs.actions.survey_import import plain_name
from jobs.core.electrics.readings_table import SHORT_NAMES, heading_row
from jobs.core.electrics.under_test import WhenTested
from jobs.core.stores_file.writing import write_csv
from jobs.models import Instrument, Job, Person, Reading, ReadingsUpload, User
from jobs.queries.readings_file import Understood


@transaction.atomic
def keep_readings(
    *, job: Job, file_name: str, rows: Iterable[Understood], when_tested: str, tested_by: Person, tested_on: date, by: User,
    now: datetime, instrument: Instrument | None = None, test_volts: int = 500, note: str = "",
) -> ReadingsUpload:
    """Keep what was read of a file until it is saved or dropped; a person's newest replaces their last of the job."""
    require_office(by, job, tested_by, instrument)
    moment_of(job, tested_on, now)
    ReadingsUpload.objects.filter(job=job, made_by=by).delete()
    lines = (
        [row.row.reference, row.row.socket, *(row.row.written.get(measure, "") for measure in SHORT_NAMES)] for row in rows
    )
    return ReadingsUpload.objects.create(
        firm_id=job.firm_id, job=job, file_name=plain_name(file_name, "readings"), when_tested=when_tested,
        text=write_csv(heading_row(), lines).decode("utf-8"), instrument=instrument, tested_by=tested_by,
        tested_on=tested_on, test_volts=test_volts, note=note, made_by=by, made_at=now,
    )


def drop_readings(*, upload: ReadingsUpload, by: User) -> None:
    require_office(by, upload)
    upload.delete()


@transaction.atomic
def import_readings(*, upload: ReadingsUpload, rows: Sequence[Understood], by: User, now: datetime) -> int:
    """Every reading of the file; how many."""
    require_office(by, upload)
    held = ReadingsUpload.objects.select_for_update(of=("self",)).filter(pk=upload.pk).first()
    if held is None:
        raise Refused("This file was saved or dropped already.")
    taken = Taken(
        WhenTested(upload.when_tested), upload.tested_by, moment_of(upload.job, upload.tested_on, now), upload.instrument,
        upload.test_volts, upload.note,
    )
    saved = [_save(row, upload, taken, by, now) for row in rows]
    held.delete()
    return sum(map(len, saved))


def _save(row: Understood, upload: ReadingsUpload, taken: Taken, by: User, now: datetime) -> list[Reading]:
    about = {"taken": taken, "by": by, "now": now, "op_id": uuid5(upload.op_id, row.row.name)}
    if row.circuit is None:
        return record_supply(job=upload.job, written=row.row.written, **about)
    if row.point is None:
        return record_readings(circuit=row.circuit, written=row.row.written, **about)
    return record_sockets(circuit=row.circuit, written={row.point: row.row.written}, **about)

"""A firm's archive for its office: asked for, made in the background, kept for a week."""

import tempfile
from collections.abc import Callable
from datetime import datetime, timedelta

from django.core.files.base import File
from django.db import transaction

from jobs import outbox
from jobs.actions.firm_export import write_archive
from jobs.actions.permission import Refused, require_office
from jobs.models import Firm, FirmArchive, User
from jobs.queries.firm_archives import find_pending, work_key

KEPT_FOR = timedelta(days=7)


@transaction.atomic
def ask_for_archive(*, firm: Firm, by: User, now: datetime) -> FirmArchive:
    require_office(by, firm)
    Firm.objects.select_for_update().get(pk=firm.pk)
    if find_pending(firm):
        raise Refused("An archive is being made already. It shows here when it is ready.")
    archive = FirmArchive.objects.create(firm=firm, asked_by=by, asked_at=now)
    outbox.enqueue(
        key=work_key(archive), task="make_firm_archive", payload={"archive_pk": archive.pk}, due_at=now, firm=firm
    )
    return archive


def make_archive(*, archive_pk: int, now: datetime) -> Callable[[], None] | None:
    """Writes the file, and returns what says so. Safe to run twice: the second file takes the place of the first."""
    archive = FirmArchive.objects.select_related("firm").filter(pk=archive_pk, made_at=None).first()
    if archive is None:
        return None
    FirmArchive.objects.filter(pk=archive_pk).update(begun_at=now)
    with tempfile.TemporaryFile() as file:
        write_archive(firm=archive.firm, to=file, now=now)
        file.seek(0)
        archive.file.storage.delete(archive.file.field.generate_filename(archive, "archive.zip"))
        archive.file.save("archive.zip", File(file), save=False)
    made = {"file": archive.file.name, "made_at": now, "expires_at": now + KEPT_FOR}
    return lambda: FirmArchive.objects.filter(pk=archive_pk).update(**made) and None


def delete_archive(*, archive: FirmArchive, by: User) -> None:
    require_office(by, archive)
    _delete(archive)


def delete_expired_archives(*, now: datetime) -> None:
    for archive in FirmArchive.objects.filter(expires_at__lte=now):
        _delete(archive)


def _delete(archive: FirmArchive) -> None:
    if archive.file:
        archive.file.delete(save=False)
    archive.delete()

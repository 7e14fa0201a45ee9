"""The handover pack: what the office adds to it, and its PDF, made in the background and again when something changed."""

from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from functools import partial
from zoneinfo import ZoneInfo

from django.core.files.base import ContentFile
from django.db import transaction

from jobs import outbox
from jobs.actions.permission import Refused, require_office
from jobs.actions.pictures import draw_for_print
from jobs.core.handover import Pack, name_changes
from jobs.core.site_values import BadOperation
from jobs.models import Handover, HandoverPdf, Job, Photo, User
from jobs.pdf import typeset_pack
from jobs.queries.handover import find_made, load_pack
from jobs.queries.handover_pdf import find_pending, work_key
from rewire.named_firm import work_for

KEPT = 3
"""Printed packs of a job that stay; older ones go when a new one is made."""
PENDING = "The PDF is being made already. It shows here when it is ready."


@transaction.atomic
def edit_handover(*, job: Job, details: Mapping[str, object], by: User) -> Handover:
    """`details`: words, warranties, is_shown_to_customer."""
    require_office(by, job)
    handover, _ = Handover.objects.update_or_create(job=job, defaults={"firm_id": job.firm_id, **details})
    return handover


@transaction.atomic
def ask_for_pdf(*, job: Job, by: User, now: datetime) -> HandoverPdf:
    require_office(by, job)
    Job.objects.select_for_update().get(pk=job.pk)
    if find_pending(job):
        raise Refused(PENDING)
    return _ask(job, by, "", now)


def renew_changed(*, now: datetime) -> None:
    """Ask for every pack again in which something changed since it was printed, each in a transaction of its own."""
    for job in Job.objects.filter(handover_pdfs__made_at__isnull=False).exclude(state=Job.State.DROPPED).distinct():
        with work_for(job.firm_id), transaction.atomic():
            _renew(job, now)


def _renew(job: Job, now: datetime) -> None:
    made = find_made(job)
    changes = name_changes(made.sums, load_pack(job, now).sums)
    if changes and not find_pending(job):
        _ask(job, None, f"Changed: {', '.join(changes)}"[:300], now)


def make_pdf(*, pdf_pk: int, now: datetime) -> Callable[[], None] | None:
    """Writes the file, and returns what says so. Safe to run twice: the second file takes the place of the first."""
    pdf = HandoverPdf.objects.select_related("job__firm", "job__customer").filter(pk=pdf_pk, made_at=None).first()
    if pdf is None:
        return None
    HandoverPdf.objects.filter(pk=pdf_pk).update(begun_at=now)
    pack = load_pack(pdf.job, now)
    made_words = f"{now.astimezone(ZoneInfo(pdf.firm.zone)):%-d %B %Y, %H:%M}"
    content = typeset_pack(pack, dict(_pictures(pdf.job, pack)), made_words=made_words)
    pdf.file.storage.delete(pdf.file.field.generate_filename(pdf, "pack.pdf"))
    pdf.file.save("pack.pdf", ContentFile(content), save=False)
    return partial(_finish, pdf, pack, now)


def _ask(job: Job, by: User | None, reason: str, now: datetime) -> HandoverPdf:
    pdf = HandoverPdf.objects.create(firm_id=job.firm_id, job=job, asked_by=by, asked_at=now, reason=reason)
    outbox.enqueue(key=work_key(pdf), task="make_handover_pdf", payload={"pdf_pk": pdf.pk}, due_at=now, firm=job.firm)
    return pdf


def _pictures(job: Job, pack: Pack) -> Iterator[tuple[int, bytes]]:
    """Those that can be read; the sheet says of the others that they are not there."""
    for photo in Photo.objects.filter(room__job=job, pk__in=[picture.number for picture in pack.pictures]):
        try:
            with photo.image.open() as image:
                yield photo.pk, draw_for_print(image.read())
        except (FileNotFoundError, BadOperation):
            continue


def _finish(pdf: HandoverPdf, pack: Pack, now: datetime) -> None:
    HandoverPdf.objects.filter(pk=pdf.pk).update(file=pdf.file.name, made_at=now, sums=pack.sums)
    for old in HandoverPdf.objects.filter(job=pdf.job).exclude(made_at=None).order_by("-made_at", "-pk")[KEPT:]:
        transaction.on_commit(partial(old.file.storage.delete, old.file.name))
        old.delete()

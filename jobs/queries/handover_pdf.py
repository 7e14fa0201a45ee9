"""How a job's printed pack stands: asked for, being made, ready, and what changed since."""

from dataclasses import dataclass

from jobs.core.handover import Pack, name_changes
from jobs.models import HandoverPdf, Job
from jobs.queries.background import Work, load_work
from jobs.queries.handover import find_made


@dataclass(frozen=True)
class PdfState:
    """`made`: the newest there is; `asked`: a newer one that is not there yet, with how its making stands."""

    made: HandoverPdf | None
    asked: HandoverPdf | None
    work: Work | None
    changes: tuple[str, ...]

    @property
    def is_pending(self) -> bool:
        return self.work is not None and not self.work.is_given_up


def work_key(pdf: HandoverPdf) -> str:
    return f"handover_pdf:{pdf.pk}"


def find_pending(job: Job) -> HandoverPdf | None:
    waiting = HandoverPdf.objects.filter(job=job, made_at=None)
    return next((row for row in waiting if not load_work(work_key(row)).is_given_up), None)


def load_pdf_state(job: Job, pack: Pack) -> PdfState:
    made = find_made(job)
    newest = HandoverPdf.objects.filter(job=job).first()
    asked = newest if newest and newest.made_at is None else None
    changes = tuple(name_changes(made.sums, pack.sums)) if made else ()
    return PdfState(made, asked, load_work(work_key(asked)) if asked else None, changes)

"""When jobs finish by a plan, against what was promised."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from jobs.core.date_range import DateRange
from jobs.models import Firm, Job, Span
from jobs.queries.causes import Causes, Step
from jobs.queries.plan_rows import span_key
from jobs.queries.ranges import finish_range


@dataclass(frozen=True)
class Finish:
    """When a job is planned to finish, against what was promised and what the issued plan said."""

    job: Job
    planned_on: date
    issued_on: date | None
    steps: tuple[Step, ...]
    range: DateRange | None = None

    @property
    def is_late(self) -> bool:
        return self.job.promised_finish_on is not None and self.planned_on > self.job.promised_finish_on

    @property
    def days_late(self) -> int:
        return (self.planned_on - self.job.promised_finish_on).days if self.is_late else 0

    @property
    def has_moved(self) -> bool:
        return self.issued_on is not None and self.issued_on != self.planned_on


def load_finishes(firm: Firm, causes: Causes, held: Causes) -> Iterator[Finish]:
    """Each job of a plan, against the plan people hold."""
    ends, issued_ends = _last_spans(causes), _last_spans(held)
    for job in Job.objects.filter(firm=firm, pk__in=ends):
        last, issued = ends[job.pk], issued_ends.get(job.pk)
        steps, firmness = tuple(causes.chain(span_key(last))), finish_range(causes.plan, job.pk, last.ends_on)
        yield Finish(job, last.ends_on, issued.ends_on if issued else None, steps, firmness)


def _last_spans(causes: Causes) -> dict[int, Span]:
    """Job pk → what ends last of it."""
    last: dict[int, Span] = {}
    for span in causes.spans.values():
        job_pk = (span.package or span.visit).job_id
        if job_pk not in last or (span.ends_on, span.ends_half) > (last[job_pk].ends_on, last[job_pk].ends_half):
            last[job_pk] = span
    return last

"""Reading the trail of what the office changed."""

from dataclasses import dataclass

from jobs.models import Firm, Job, TrailEntry, User

PAGE = 100


@dataclass(frozen=True)
class Line:
    """One change in words."""

    entry: TrailEntry
    what: str
    job: Job | None
    entered: list[tuple[str, str]]


@dataclass(frozen=True)
class TrailPage:
    """`older_than`: where the next page goes on; None when there is no older entry."""

    lines: list[Line]
    older_than: int | None


def load_trail(firm: Firm, *, by: User | None = None, job: Job | None = None, before: int | None = None) -> TrailPage:
    """Changes, the newest first, of one person or on one job where asked."""
    entries = TrailEntry.objects.filter(firm=firm).order_by("-pk")
    entries = entries.filter(made_by=by) if by else entries
    entries = entries.filter(job_pk=job.pk) if job else entries
    found = list(entries.filter(pk__lt=before)[: PAGE + 1] if before else entries[: PAGE + 1])
    jobs = Job.objects.filter(firm=firm).in_bulk({entry.job_pk for entry in found if entry.job_pk})
    lines = [_line(entry, jobs) for entry in found[:PAGE]]
    return TrailPage(lines, found[PAGE - 1].pk if len(found) > PAGE else None)


def _line(entry: TrailEntry, jobs: dict[int, Job]) -> Line:
    entered = [(name.replace("_", " "), text) for name, text in entry.entered.items()]
    return Line(entry, entry.what.replace("_", " ").capitalize(), jobs.get(entry.job_pk), entered)

"""What the firm's finished packages say about its norms and about how far work lands from its estimate."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from math import exp

from jobs.core import takeoff as core
from jobs.core.checklists import base_code
from jobs.core.learning import PRIOR_PACKAGES, Belief, Record, learn, suggest_hours
from jobs.core.planning.spreads import PRIOR_SPREADS, Spreads
from jobs.core.stages import Stage, WallKind
from jobs.models import Firm, Job, LabourNorm, Room, RoomTask
from jobs.queries.finished import Finished, load_finished
from jobs.queries.takeoff import load_catalogue, load_house

OWN_RECORDS = "own records"
"""How the source of a learned norm begins."""

MOSTLY_SAID = 0.8
"""A package says how far work lands from its estimate only where people said this share of its hours: what was booked
follows the estimate."""

PREFIXES = {LabourNorm.Per.ROOM: "room", LabourNorm.Per.CIRCUIT: "circuit", LabourNorm.Per.JOB: "house"}


def load_spreads(firm: Firm) -> Spreads:
    """The spread of each stage, learned from packages whose hours people said."""
    records: dict[Stage, list[Record]] = defaultdict(list)
    for finished in load_finished(firm, only_said=True):
        package = finished.package
        estimate = package.labour_hours if package.corrected_hours is None else package.corrected_hours
        if finished.said_share >= MOSTLY_SAID and estimate > 0:
            records[Stage(package.stage)].append(Record(float(estimate), finished.actual_hours))
    return Spreads({
        stage: learn(Belief(spread=spread), records[stage]).distance for stage, spread in PRIOR_SPREADS.items()
    })


@dataclass(frozen=True)
class Suggestion:
    """What finished packages say about a norm: hours such work was estimated at and took, and what follows.

    `weight`: what the packages count for. `said`: how many of them have hours that people mostly said.
    """

    norm: LabourNorm
    packages: int
    said: int
    estimated_hours: float
    actual_hours: float
    weight: float
    prior_packages: float
    factor: float
    last_at: datetime
    suggested_hours: Decimal

    @property
    def is_change(self) -> bool:
        return self.suggested_hours != self.norm.labour_hours


def list_suggestions(firm: Firm) -> list[Suggestion]:
    """Every norm that finished packages say something new about, what changes most first."""
    works = _works(firm)
    norms = LabourNorm.objects.filter(firm=firm, labour_hours__gt=0).select_related("point_kind")
    found = (_suggestion(norm, works.get(_group(norm), ())) for norm in norms.order_by("stage", "per", "task", "pk"))
    return sorted((one for one in found if one), key=lambda one: -abs(one.suggested_hours - one.norm.labour_hours))


def find_suggestion(norm: LabourNorm) -> Suggestion | None:
    return _suggestion(norm, _works(norm.firm).get(_group(norm), ()))


@dataclass(frozen=True)
class _Work:
    """A line that was done, with the hours it would be estimated at now and its package's whole."""

    finished: Finished
    room: Room
    hours: float
    package_hours: float


def _suggestion(norm: LabourNorm, works: Iterable[_Work]) -> Suggestion | None:
    records = list(_records(norm, works))
    if not records:
        return None
    prior = Belief(packages=PRIOR_PACKAGES + (float(norm.learned_weight) if is_learned(norm) else 0.0))
    after = learn(prior, [record for _, record in records])
    weight = after.packages - prior.packages
    return Suggestion(
        norm=norm,
        packages=len(records),
        said=sum(finished.said_share >= MOSTLY_SAID for finished, _ in records),
        estimated_hours=sum(record.estimated_hours for _, record in records),
        actual_hours=sum(record.actual_hours for _, record in records),
        weight=weight,
        prior_packages=prior.packages,
        factor=exp(after.mean * after.packages / weight),
        last_at=max(finished.done_at for finished, _ in records),
        suggested_hours=suggest_hours(norm.labour_hours, after),
    )


def is_learned(norm: LabourNorm) -> bool:
    """Whether the norm's figure is one that was learned, and not typed over since."""
    return norm.learned_until is not None and norm.source.startswith(OWN_RECORDS)


def _records(norm: LabourNorm, works: Iterable[_Work]) -> Iterator[tuple[Finished, Record]]:
    """One record for each package the norm has not taken in yet."""
    by_package: dict[int, list[_Work]] = defaultdict(list)
    for work in works:
        is_new = norm.learned_until is None or work.finished.done_at > norm.learned_until
        if is_new and _fits(norm, work.room):
            by_package[work.finished.package.pk].append(work)
    for some in by_package.values():
        finished, hours = some[0].finished, sum(work.hours for work in some)
        share = hours / some[0].package_hours
        yield finished, Record(hours, finished.actual_hours * share, share)


def _fits(norm: LabourNorm, room: Room) -> bool:
    """Whether a norm may have counted for work in a room; lath goes by masonry's."""
    walls = {"", room.wall_kind} | ({WallKind.MASONRY} if room.wall_kind == WallKind.LATH else set())
    return norm.wall_kind in walls and norm.room_kind in {"", room.kind} and norm.floor_kind in {"", room.floor_kind}


def _group(norm: LabourNorm) -> tuple[str, str]:
    """Stage and the beginning of the code that the norm's lines have."""
    if norm.point_kind:
        return norm.stage, core.point_code(norm.point_kind.code)
    return norm.stage, f"{PREFIXES[LabourNorm.Per(norm.per)]}:{core.slug(norm.task)}"


def _works(firm: Firm) -> dict[tuple[str, str], list[_Work]]:
    """Lines done in finished packages, by stage and code."""
    finished = {one.package.pk: one for one in load_finished(firm)}
    lines: dict[int, list[tuple[RoomTask, float]]] = defaultdict(list)
    for line, hours in _estimated(firm, finished):
        lines[line.package_id].append((line, hours))
    found: dict[tuple[str, str], list[_Work]] = defaultdict(list)
    for package, some in lines.items():
        whole = sum(hours for _, hours in some)
        for line, hours in some:
            code = ":".join(line.code.split(":")[:2])
            found[finished[package].package.stage, code].append(_Work(finished[package], line.room, hours, whole))
    return found


def _estimated(firm: Firm, finished: dict[int, Finished]) -> Iterator[tuple[RoomTask, float]]:
    """Lines of work that were done, with the hours the firm's norms of now give them."""
    rows = RoomTask.objects.filter(package__in=finished, is_withdrawn=False, not_needed="", labour_hours__gt=0)
    norms = _NormHours(firm)
    for line in rows.exclude(code__startswith="check:").select_related("room", "package__job").order_by("pk"):
        yield line, norms.hours(line) or float(line.labour_hours)


class _NormHours:
    """Hours of a line by the survey and the catalogue as they are now; jobs are read once."""

    def __init__(self, firm: Firm) -> None:
        self._firm, self._catalogue = firm, None
        self._tasks: dict[int, dict[tuple[int, str, str], core.Task]] = {}

    def hours(self, line: RoomTask) -> float | None:
        task = self._of(line.package.job).get((line.room_id, line.package.stage, base_code(line.code)))
        if task is None or not task.hours:
            return None
        return float(task.hours) * (line.point_count / task.count if task.count else 1.0) or None

    def _of(self, job: Job) -> dict[tuple[int, str, str], core.Task]:
        if job.pk not in self._tasks:
            self._catalogue = self._catalogue or load_catalogue(self._firm)
            tasks = core.list_tasks(load_house(job), self._catalogue)
            self._tasks[job.pk] = {(task.room, task.stage, task.code): task for task in tasks}
        return self._tasks[job.pk]

"""The cut list of a job: each cable's runs from its circuits, and the drums there are."""

from dataclasses import dataclass
from decimal import Decimal

from jobs.core.cut_list import CutList, Request, Run
from jobs.core.cutting.exact import cut_exactly
from jobs.core.cutting.quick import cut_quickly
from jobs.core.stages import Stage
from jobs.models import Item, Job
from jobs.queries.drums import DrumRow, list_drums, list_lengths
from jobs.queries.takeoff import CableRow, load_takeoff

SECONDS_PER_CABLE = 2.0


@dataclass(frozen=True)
class Sheet:
    """The cuts of one cable. `estimated`: how many of its runs nobody has measured."""

    item: Item
    request: Request
    cut_list: CutList
    estimated: int

    @property
    def metres(self) -> Decimal:
        return sum((run.metres for run in self.request.runs), Decimal(0))


def load_requests(job: Job) -> list[tuple[Item, Request, int]]:
    """(cable, what to cut, how many runs are only estimated) for each cable of a job's circuits."""
    by_item: dict[int, list[CableRow]] = {}
    for row in load_takeoff(job).cables:
        by_item.setdefault(row.item.pk, []).append(row)
    drums = list_drums(job.firm, items=by_item)
    return [
        (rows[0].item, _request(rows, drums, job), sum(row.line.circuit.measured_metres is None for row in rows))
        for rows in by_item.values()
    ]


def load_quick_sheets(job: Job) -> list[Sheet]:
    """Good cut lists at once."""
    return [Sheet(item, request, cut_quickly(request), estimated) for item, request, estimated in load_requests(job)]


def load_best_sheets(job: Job, *, seconds: float = SECONDS_PER_CABLE) -> list[Sheet]:
    """The best cut lists found in `seconds` for each cable."""
    return [
        Sheet(item, request, cut_exactly(request, seconds=seconds), estimated)
        for item, request, estimated in load_requests(job)
    ]


def has_cable_to_pull(job: Job) -> bool:
    """Whether a first fix of the job is unfinished."""
    return job.packages.filter(stage=Stage.FIRST_FIX, finished_at=None).exists()


def _request(rows: list[CableRow], drums: list[DrumRow], job: Job) -> Request:
    runs = tuple(Run(row.line.circuit.reference, row.line.metres, row.line.circuit.name) for row in rows)
    item = rows[0].item
    return Request(runs, tuple(list_lengths(drums, item, job)), Decimal(item.pack_size))

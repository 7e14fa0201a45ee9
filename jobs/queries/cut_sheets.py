"""The cut list of a job: each cable's runs from its circuits, and the drums there are."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from functools import partial

from django.db.models import Count

from jobs.core.circuit_takeoff import Basis
from jobs.core.cut_list import CutList, Request, Run, split_at_points
from jobs.core.cutting.exact import cut_exactly
from jobs.core.cutting.quick import cut_quickly
from jobs.core.stages import CircuitKind, Stage
from jobs.models import Item, Job, Point
from jobs.queries.drums import DrumRow, list_drums, list_lengths
from jobs.queries.takeoff import CableRow, load_takeoff

SECONDS_PER_CABLE = 2.0


@dataclass(frozen=True)
class Sheet:
    """The cuts of one cable. `estimated`: how many of its circuits nobody has measured."""

    item: Item
    request: Request
    cut_list: CutList
    circuits: int
    estimated: int

    @property
    def has_parts(self) -> bool:
        return len(self.request.runs) > self.circuits

    @property
    def metres(self) -> Decimal:
        return sum((run.metres for run in self.request.runs), Decimal(0))


def load_quick_sheets(job: Job) -> list[Sheet]:
    """Good cut lists at once."""
    return _sheets(job, cut_quickly)


def load_best_sheets(job: Job, *, seconds: float = SECONDS_PER_CABLE) -> list[Sheet]:
    """The best cut lists found in `seconds` for each cable."""
    return _sheets(job, partial(cut_exactly, seconds=seconds))


def load_sheet(job: Job, item: Item, *, seconds: float = 0) -> Sheet | None:
    """The cut list of one cable, the best found in `seconds` or a good one at once; None when the job takes none."""
    return next(iter(_sheets(job, partial(cut_exactly, seconds=seconds) if seconds else cut_quickly, item)), None)


def _sheets(job: Job, cut: Callable[[Request], CutList], item: Item | None = None) -> list[Sheet]:
    by_item: dict[int, list[CableRow]] = {}
    for row in load_takeoff(job).cables:
        if item in (None, row.item):
            by_item.setdefault(row.item.pk, []).append(row)
    drums, points = list_drums(job.firm, items=by_item), _count_points(job)
    sheets = []
    for rows in by_item.values():
        request = _request(rows, drums, job, points)
        estimated = sum(row.line.basis in (Basis.ROUTE, Basis.AVERAGES) for row in rows)
        sheets.append(Sheet(rows[0].item, request, cut(request), len(rows), estimated))
    return sheets


def has_cable_to_pull(job: Job) -> bool:
    """Whether a first fix of the job is unfinished."""
    return job.packages.filter(stage=Stage.FIRST_FIX, finished_at=None).exists()


def _request(rows: list[CableRow], drums: list[DrumRow], job: Job, points: dict[str, int]) -> Request:
    """Circuits longer than any length to be had are pulled in parts that meet at a point."""
    item = rows[0].item
    lengths, new_drum_metres = tuple(list_lengths(drums, item, job)), Decimal(item.pack_size)
    longest = max((new_drum_metres, *(length.metres for length in lengths)))
    runs = [
        part for row in rows for part in split_at_points(
            Run(row.line.circuit.reference, row.line.metres, row.line.circuit.name), _legs(row, points), longest
        )
    ]
    return Request(tuple(runs), lengths, new_drum_metres)


def _legs(row: CableRow, points: dict[str, int]) -> int:
    """From the board to each point in turn; a ring comes back to the board."""
    circuit = row.line.circuit
    return max(1, points.get(circuit.reference, 0)) + (circuit.kind == CircuitKind.RING)


def _count_points(job: Job) -> dict[str, int]:
    points = Point.objects.filter(job=job, is_dropped=False, circuit__isnull=False)
    return dict(points.order_by().values_list("circuit__reference").annotate(Count("pk")))

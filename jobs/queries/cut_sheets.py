"""The cut list of a job: each cable's runs from its circuits and their branches, and the drums there are."""

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import partial

from django.db.models import Count

from jobs.core.circuit_takeoff import Basis, BranchCable
from jobs.core.cut_list import CutList, Request, Run, split_at_points
from jobs.core.cutting.exact import cut_exactly
from jobs.core.cutting.quick import cut_quickly
from jobs.core.stages import CircuitKind, Stage
from jobs.models import Item, Job, Point
from jobs.queries.drums import DrumRow, list_drums, list_lengths
from jobs.queries.takeoff import CableRow, load_takeoff

SECONDS_PER_CABLE = 2.0
NOT_MEASURED = (Basis.ROUTE, Basis.AVERAGES)


@dataclass(frozen=True)
class Sheet:
    """The cuts of one cable. `asked`: circuits and rooms' branches it goes to; `estimated`: those nobody has measured."""

    item: Item
    request: Request
    cut_list: CutList
    asked: int
    estimated: int

    @property
    def has_parts(self) -> bool:
        return len(self.request.runs) > self.asked

    @property
    def metres(self) -> Decimal:
        return sum((run.metres for run in self.request.runs), Decimal(0))


@dataclass(frozen=True)
class _Pull:
    """What one pull takes; it may be parted between any of its `legs`."""

    run: Run
    legs: int
    is_estimated: bool


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
    by_item: dict[Item, list[_Pull]] = defaultdict(list)
    points = _count_points(job)
    for row in load_takeoff(job).cables:
        for cable, pull in _pulls(row, points):
            if item in (None, cable):
                by_item[cable].append(pull)
    drums = list_drums(job.firm, items=[cable.pk for cable in by_item])
    sheets = []
    for cable, pulls in by_item.items():
        request = _request(cable, pulls, drums, job)
        sheets.append(Sheet(cable, request, cut(request), len(pulls), sum(pull.is_estimated for pull in pulls)))
    return sheets


def has_cable_to_pull(job: Job) -> bool:
    """Whether a first fix of the job is unfinished."""
    return job.packages.filter(stage=Stage.FIRST_FIX, finished_at=None).exists()


def _pulls(row: CableRow, points: dict[str, int]) -> Iterator[tuple[Item, _Pull]]:
    """A circuit's own cable, and at first fix each room's drops to switches and the like as one length a cable."""
    line, items = row.line, {item.code: item for item, _ in row.branches}
    yield row.item, _Pull(
        Run(line.circuit.reference, line.metres, line.circuit.name), _legs(row, points), line.basis in NOT_MEASURED
    )
    rooms: dict[tuple[str, str], list[BranchCable]] = defaultdict(list)
    for branch in line.branches:
        if branch.stage == Stage.FIRST_FIX and branch.metres:
            rooms[branch.cable, branch.room.name].append(branch)
    for (code, room), own in rooms.items():
        metres = sum((branch.metres for branch in own), Decimal(0))
        drops = max(1, sum(len(branch.stops) for branch in own))
        run = Run(f"{line.circuit.reference} {room}", metres, "drops to switches and the like")
        yield items[code], _Pull(run, drops, any(branch.basis in NOT_MEASURED for branch in own))


def _request(item: Item, pulls: list[_Pull], drums: list[DrumRow], job: Job) -> Request:
    """Circuits longer than any length to be had are pulled in parts that meet at a point."""
    lengths, new_drum_metres = tuple(list_lengths(drums, item, job)), Decimal(item.pack_size)
    longest = max((new_drum_metres, *(length.metres for length in lengths)))
    runs = [part for pull in pulls for part in split_at_points(pull.run, pull.legs, longest)]
    return Request(tuple(runs), lengths, new_drum_metres)


def _legs(row: CableRow, points: dict[str, int]) -> int:
    """From the board to each point in turn; a ring comes back to the board."""
    circuit = row.line.circuit
    return max(1, points.get(circuit.reference, 0)) + (circuit.kind == CircuitKind.RING)


def _count_points(job: Job) -> dict[str, int]:
    points = Point.objects.filter(job=job, is_dropped=False, circuit__isnull=False)
    return dict(points.order_by().values_list("circuit__reference").annotate(Count("pk")))

"""A ring read socket by socket with its ends cross-connected: each socket's readings, and what they say together."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.electrics.checks import Check, Outcome
from jobs.core.electrics.readings import State, Unit
from jobs.core.electrics.ring import RingEnds
from jobs.core.electrics.sockets import (
    CrossJudged,
    SocketJudged,
    SocketMeasure,
    SocketRead,
    expected_ohms,
    highest,
    judge_sockets,
    name_sockets,
)
from jobs.core.stages import CircuitKind
from jobs.models import Point, Reading
from jobs.queries.reading_lines import as_core, split_standing

PointRows = Mapping[tuple[int, str], list[Reading]]
"""(point, measure) → its rows, the one that stands last."""


@dataclass(frozen=True)
class Socket:
    """A point of a ring under the name that tells it from the others."""

    point: Point
    name: str


@dataclass(frozen=True)
class Cell:
    """One of a socket's two readings. `expected_ohms` None where neither ends nor length are known."""

    measure: SocketMeasure
    judged: SocketJudged
    expected_ohms: Decimal | None
    stands: Reading | None
    before: tuple[Reading, ...]

    @property
    def words(self) -> str:
        return self.judged.reading.words(Unit.OHM) if self.stands else ""

    @property
    def is_out(self) -> bool:
        return self.stands is not None and self.judged.outcome not in (Outcome.PASS, Outcome.NOT_NEEDED)


@dataclass(frozen=True)
class SocketRow:
    socket: Socket
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class RingSockets:
    """`ends_words`: where what they should read comes from, empty where it cannot be said."""

    rows: tuple[SocketRow, ...]
    judged: tuple[CrossJudged, ...]
    ends_words: str

    @property
    def is_read(self) -> bool:
        return any(one.is_read for one in self.judged)

    @property
    def checks(self) -> list[Check]:
        return [check for one in self.judged for check in one.checks]

    @property
    def holds(self) -> list[str]:
        return [words for one in self.judged for words in one.holds]

    @property
    def outcomes(self) -> list[Outcome]:
        return [one.outcome for one in self.judged]

    @property
    def counts(self) -> list[tuple[SocketMeasure, int, int]]:
        """(test, sockets read, sockets in all)."""
        return [(one.measure, len(one.sockets) - len(one.unread), len(one.sockets)) for one in self.judged]

    @property
    def sittings(self) -> list[tuple[Reading, int]]:
        """Who read with what on which day, by one of their rows, and how many readings."""
        found: dict[tuple[object, ...], list[Reading]] = defaultdict(list)
        for stands in (cell.stands for row in self.rows for cell in row.cells if cell.stands):
            found[stands.tested_by_id, stands.instrument_id, stands.tested_at.date(), stands.note].append(stands)
        return [(rows[0], len(rows)) for rows in found.values()]

    @property
    def highest(self) -> tuple[Socket, Reading] | None:
        """The socket that reads highest to the cpc, and its row: R1 + R2 of the circuit."""
        cells = {row.socket.name: (row.socket, cell) for row in self.rows for cell in row.cells[1:]}
        found = highest(SocketRead(name, cell.judged.reading) for name, (_, cell) in cells.items())
        return (cells[found.name][0], cells[found.name][1].stands) if found else None


def load_sockets(job_pks: Collection[int]) -> dict[int, list[Socket]]:
    """Circuit → the points of a ring, room by room as the house is walked."""
    points = Point.objects.filter(job_id__in=job_pks, circuit__kind=CircuitKind.RING, is_dropped=False)
    by_circuit: dict[int, list[Point]] = defaultdict(list)
    for point in points.select_related("room__area", "kind").order_by(
        "room__area__position", "room__position", "room_id", "pk"
    ):
        by_circuit[point.circuit_id].append(point)
    return {circuit: _named(found) for circuit, found in by_circuit.items()}


def ring_sockets(sockets: Sequence[Socket], rows: PointRows, ends: RingEnds | None, ends_words: str) -> RingSockets:
    judged = tuple(_judge(measure, sockets, rows, ends) for measure in SocketMeasure)
    table = tuple(
        SocketRow(socket, tuple(_cell(one, number, socket, rows, ends) for one in judged))
        for number, socket in enumerate(sockets)
    )
    return RingSockets(table, judged, ends_words if ends else "")


def find_highest(rows: Iterable[Reading]) -> Reading | None:
    """The row of a ring's standing ones that reads highest to the cpc."""
    found = [row for row in rows if row.measure == SocketMeasure.CROSS_CPC and row.state == State.VALUE]
    return max(found, key=lambda row: row.amount, default=None)


def _named(points: Sequence[Point]) -> list[Socket]:
    names = name_sockets([(point.room.name, point.label or point.kind.name) for point in points])
    return [Socket(point, name) for point, name in zip(points, names, strict=True)]


def _judge(measure: SocketMeasure, sockets: Sequence[Socket], rows: PointRows, ends: RingEnds | None) -> CrossJudged:
    read = [SocketRead(one.name, as_core(_last(rows, one, measure), Unit.OHM)) for one in sockets]
    return judge_sockets(measure, read, ends)


def _cell(one: CrossJudged, number: int, socket: Socket, rows: PointRows, ends: RingEnds | None) -> Cell:
    stands, before = split_standing(rows.get((socket.point.pk, one.measure), []))
    return Cell(one.measure, one.sockets[number], expected_ohms(one.measure, ends), stands, before)


def _last(rows: PointRows, socket: Socket, measure: SocketMeasure) -> Reading | None:
    found = rows.get((socket.point.pk, measure))
    return found[-1] if found else None

"""What a survey file says: areas, rooms, circuits and groups of points, or what is wrong with it."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from jobs.core import stages


@dataclass(frozen=True)
class DraftArea:
    """Part of the house planned together; `level` is its storey, 0 the ground floor."""

    name: str
    level: int = 0


@dataclass(frozen=True)
class DraftRoom:
    """A room; `area` is its area's name. Sizes and grid position in metres, None where not measured."""

    area: str
    name: str
    kind: str
    wall_kind: str
    floor_kind: str
    length_metres: Decimal | None = None
    width_metres: Decimal | None = None
    height_metres: Decimal = Decimal("2.40")
    grid_x_metres: Decimal | None = None
    grid_y_metres: Decimal | None = None
    notes: str = ""
    joists: str = ""
    drop_cover: str = stages.DropCover.CAPPING.value


@dataclass(frozen=True)
class DraftCircuit:
    """A circuit under the reference written on its sheath; rating and length are None where not told."""

    reference: str
    name: str
    kind: str
    device: str = ""
    device_rating_amps: Decimal | None = None
    cable_metres: Decimal | None = None


@dataclass(frozen=True)
class DraftPoints:
    """So many equal points in a room; `room` and `circuit` name theirs, a blank circuit is not yet decided."""

    room: str
    kind: str
    quantity: int
    circuit: str = ""
    label: str = ""
    height_mm: int | None = None


@dataclass(frozen=True)
class SurveyDraft:
    """A whole survey of a house, as a file tells it."""

    areas: tuple[DraftArea, ...] = ()
    rooms: tuple[DraftRoom, ...] = ()
    circuits: tuple[DraftCircuit, ...] = ()
    points: tuple[DraftPoints, ...] = ()

    @property
    def point_count(self) -> int:
        """Points in all, each of a group counted."""
        return sum(group.quantity for group in self.points)


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong. Row 0 is the whole file; rows count from 1, the heading row, as a spreadsheet shows them."""

    row: int
    column: str
    value: str
    message: str

    def __str__(self) -> str:
        place = f"Row {self.row}" if self.row else "The file"
        return f"{place}, {self.column}: {self.message}" if self.column else f"{place}: {self.message}"


@dataclass(frozen=True)
class FaultGroup:
    """The same fault in one or more rows, the rows told as words such as “3, 7–9”."""

    rows: str
    count: int
    column: str
    value: str
    message: str


@dataclass(frozen=True)
class Reading:
    """The outcome of reading a file: a draft when there are no faults; notes tell what was assumed."""

    draft: SurveyDraft | None
    faults: tuple[Fault, ...] = ()
    notes: tuple[str, ...] = ()


def group_faults(faults: Iterable[Fault]) -> list[FaultGroup]:
    """Equal faults together, in order of their first row, so that one slip copied down a column is read once."""
    rows_of: dict[tuple[str, str, str], list[int]] = {}
    for fault in sorted(faults):
        rows_of.setdefault((fault.column, fault.value, fault.message), []).append(fault.row)
    return [FaultGroup(_row_words(rows), len(rows), *what) for what, rows in rows_of.items()]


def _row_words(rows: list[int]) -> str:
    spans: list[list[int]] = []
    for row in sorted(set(rows) - {0}):
        if spans and row == spans[-1][1] + 1:
            spans[-1][1] = row
        else:
            spans.append([row, row])
    return ", ".join(str(first) if first == last else f"{first}–{last}" for first, last in spans)

"""The programme strip: stages as bars and visits as marks, laid out area by area along the days. Geometry only.

Units are SVG user units (1 = one CSS pixel at full size); days run left to right, each as wide as `Strip.day_width`.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

from jobs.core.slots import Slot
from jobs.core.stages import Half

WIDEST, LEAST_DAY, MOST_DAY = 1240, 6, 26
MARGIN, HEAD_HEIGHT, NAME_HEIGHT, ROW_HEIGHT, BAR_HEIGHT, LANE_GAP = 8, 40, 26, 40, 18, 12
LETTER_WIDTH = 6.7
"""Average width of a letter at the strip's 12.5-unit type, on the safe side."""
NAME_EVERY_DAYS = 35
"""A lane's name is said again this often, so that it is in sight wherever a long strip is scrolled to."""


@dataclass(frozen=True)
class Bar:
    """A stage in an area; `done_share` from 0 to 1."""

    lane: str
    stage: str
    label: str
    slot: Slot
    done_share: float = 0


@dataclass(frozen=True)
class Mark:
    """A visit of another trade, in an area or in the whole house; `state` in words."""

    lane: str
    label: str
    state: str
    slot: Slot


@dataclass(frozen=True)
class PlacedBar:
    """A bar's upper left corner and width, `done_width` of it done; `shows_label`: its label fits before the next bar."""

    bar: Bar
    x: float
    y: float
    width: float
    done_width: float
    shows_label: bool

    @property
    def label_y(self) -> float:
        """Base line of its label, above the bar."""
        return self.y - 5

    @property
    def done_y(self) -> float:
        """Upper edge of the line that shows what is done, below the bar."""
        return self.y + BAR_HEIGHT + 1


@dataclass(frozen=True)
class PlacedMark:
    """A mark's upper left corner and the width of its visit."""

    mark: Mark
    x: float
    y: float
    width: float

    @property
    def diamond(self) -> str:
        """Corners of the diamond at its start, as SVG points."""
        middle, half = self.y + BAR_HEIGHT / 2, BAR_HEIGHT / 2 - 1
        across = (self.x, middle), (self.x + half, middle - half), (self.x + 2 * half, middle), (self.x + half, middle + half)
        return " ".join(f"{x:.1f},{y:.1f}" for x, y in across)

    @property
    def middle_y(self) -> float:
        """Half way down the mark."""
        return self.y + BAR_HEIGHT / 2

    @property
    def end_x(self) -> float:
        """Where its visit ends."""
        return self.x + self.width

    @property
    def label_y(self) -> float:
        """Base line of its label, above the mark."""
        return self.y - 5


@dataclass(frozen=True)
class Lane:
    """An area's part of the strip from `y` down; `name_xs`: where its name is said, again and again along it."""

    name: str
    y: float
    height: float
    name_xs: tuple[float, ...]

    @property
    def name_y(self) -> float:
        """Base line of its name."""
        return self.y + 18


@dataclass(frozen=True)
class Week:
    """A Monday and where its line stands."""

    on: date
    x: float
    shows_label: bool


@dataclass(frozen=True)
class Strip:
    """The whole strip and its size; `today_x` is None when today lies outside."""

    width: float
    height: float
    day_width: float
    lanes: tuple[Lane, ...]
    bars: tuple[PlacedBar, ...]
    marks: tuple[PlacedMark, ...]
    weeks: tuple[Week, ...]
    today_x: float | None
    bar_height: float = BAR_HEIGHT


def lay_out_strip(lanes: Sequence[str], bars: Sequence[Bar], marks: Sequence[Mark], today: date) -> Strip | None:
    """The strip of a job, from the Monday of its first day to the Sunday of its last; None while nothing has a date.

    `lanes` gives the order of areas; lanes without bars and marks are left out. Things that overlap within a lane
    stand in rows below one another. `today_x` is None when today lies outside.
    """
    slots = [thing.slot for thing in (*bars, *marks)]
    if not slots:
        return None
    first_on = _monday(min(slot.starts_on for slot in slots))
    days = (_monday(max(slot.ends_on for slot in slots)) - first_on).days + 7
    scale = _Scale(first_on, days, max(LEAST_DAY, min(MOST_DAY, (WIDEST - 2 * MARGIN) / days)))
    return _place_lanes(lanes, bars, marks, scale, today)


@dataclass(frozen=True)
class _Scale:
    first_on: date
    days: int
    day_width: float

    def x(self, days: float) -> float:
        return round(MARGIN + days * self.day_width, 1)

    def span(self, slot: Slot) -> tuple[float, float]:
        """Left edge and width of a slot."""
        start = (slot.starts_on - self.first_on).days + (0.5 if slot.starts_half == Half.AFTERNOON else 0)
        end = (slot.ends_on - self.first_on).days + (1 if slot.ends_half == Half.AFTERNOON else 0.5)
        return self.x(start), round((end - start) * self.day_width, 1)

    @property
    def width(self) -> float:
        return self.x(self.days) + MARGIN


def _monday(on: date) -> date:
    return on - timedelta(days=on.weekday())


def _place_lanes(
    names: Sequence[str], bars: Sequence[Bar], marks: Sequence[Mark], scale: _Scale, today: date
) -> Strip:
    lanes, placed_bars, placed_marks, y = [], [], [], float(HEAD_HEIGHT)
    for name in names:
        bar_rows = _rows([bar for bar in bars if bar.lane == name], scale, labelled=False)
        mark_rows = _rows([mark for mark in marks if mark.lane == name], scale, labelled=True)
        if not bar_rows and not mark_rows:
            continue
        placed_bars += _place_bars(bar_rows, y + NAME_HEIGHT, scale)
        placed_marks += _place_marks(mark_rows, y + NAME_HEIGHT + len(bar_rows) * ROW_HEIGHT, scale)
        height = NAME_HEIGHT + (len(bar_rows) + len(mark_rows)) * ROW_HEIGHT + LANE_GAP
        lanes.append(Lane(name, y, height, _name_xs(scale)))
        y += height
    return Strip(
        width=max([scale.width, *(_label_end(mark.x, mark.mark.label) for mark in placed_marks)]),
        height=y + MARGIN,
        day_width=scale.day_width,
        lanes=tuple(lanes),
        bars=tuple(placed_bars),
        marks=tuple(placed_marks),
        weeks=_weeks(scale),
        today_x=scale.x((today - scale.first_on).days) if 0 <= (today - scale.first_on).days < scale.days else None,
    )


def _label_end(x: float, label: str) -> float:
    return x + len(label) * LETTER_WIDTH + MARGIN


def _rows(things: Iterable[Bar | Mark], scale: _Scale, *, labelled: bool) -> list[list[Bar | Mark]]:
    """Things in rows, none over another: each goes to the first row where it, and its label if it must show, fits."""
    rows: list[list[Bar | Mark]] = []
    ends: list[float] = []
    for thing in sorted(things, key=lambda one: (one.slot, one.label)):
        x, width = scale.span(thing.slot)
        row = next((place for place, end in enumerate(ends) if end <= x + 0.1), len(rows))
        if row == len(rows):
            rows.append([])
            ends.append(0)
        rows[row].append(thing)
        ends[row] = max(x + width, _label_end(x, thing.label) if labelled else 0)
    return rows


def _place_bars(rows: list[list[Bar]], top: float, scale: _Scale) -> list[PlacedBar]:
    placed = []
    for number, row in enumerate(rows):
        limits = [scale.span(bar.slot)[0] for bar in row[1:]] + [scale.width]
        for bar, limit in zip(row, limits, strict=True):
            x, width = scale.span(bar.slot)
            done_width = round(width * min(1, max(0, bar.done_share)), 1)
            placed.append(PlacedBar(bar, x, _row_y(top, number), width, done_width, _label_end(x, bar.label) <= limit))
    return placed


def _place_marks(rows: list[list[Mark]], top: float, scale: _Scale) -> list[PlacedMark]:
    return [
        PlacedMark(mark, scale.span(mark.slot)[0], _row_y(top, number), scale.span(mark.slot)[1])
        for number, row in enumerate(rows)
        for mark in row
    ]


def _row_y(top: float, number: int) -> float:
    """Upper edge of the bars of a row; their labels stand above it."""
    return top + number * ROW_HEIGHT + ROW_HEIGHT - BAR_HEIGHT - 6


def _name_xs(scale: _Scale) -> tuple[float, ...]:
    return tuple(scale.x(days) + 4 for days in range(0, max(1, scale.days - 14), NAME_EVERY_DAYS))


def _weeks(scale: _Scale) -> tuple[Week, ...]:
    """Every Monday; labels thin out when they would run into one another."""
    every = ceil(7 * LETTER_WIDTH / (7 * scale.day_width))
    return tuple(
        Week(scale.first_on + timedelta(days=7 * number), scale.x(7 * number), number % every == 0)
        for number in range(scale.days // 7)
    )

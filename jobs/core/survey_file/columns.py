"""The columns of the survey file: their names, what they mean and what each may hold."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from jobs.core import stages
from jobs.core.survey_file.cells import CellKind, Level, Measure, OneOf, Text, Whole

MOST_PER_ROW = 200
"""The largest quantity of one row: more is a slip of the hand in any house."""


@dataclass(frozen=True)
class PointOption:
    """A kind of point of the firm's catalogue, with the kind of circuit it usually hangs on (or blank)."""

    code: str
    name: str
    circuit_kind: str = ""


class Of(StrEnum):
    """What a column tells about."""

    AREA = "area"
    ROOM = "room"
    POINT = "point"
    CIRCUIT = "circuit"


@dataclass(frozen=True)
class Column:
    """A column; `field` is the name of the value in the draft, `of` the thing it tells about."""

    name: str
    of: Of
    field: str
    kind: CellKind
    meaning: str
    is_needed: bool = False

    @property
    def is_name(self) -> bool:
        """Whether it names the thing that other columns tell about."""
        return self.name == self.of


def columns_for(point_kinds: Sequence[PointOption]) -> tuple[Column, ...]:
    """The columns in the order they are written, the point column offering `point_kinds`."""
    points = OneOf(tuple((kind.code, kind.name) for kind in point_kinds), lists_all=False)
    size, grid = Measure(Decimal("0.1"), Decimal(100), "m"), Measure(Decimal(-200), Decimal(200), "m")
    return (
        Column("area", Of.AREA, "name", Text(60), "Part of the house planned together: a floor, the loft, outside", True),
        Column("level", Of.AREA, "level", Level(), "Storey of the area; once per area is enough, blank is ground"),
        Column("room", Of.ROOM, "name", Text(60), "Name of the room, once only in the house", True),
        Column("room kind", Of.ROOM, "kind", OneOf(_words(stages.RoomKind)), "Decides its checklists", True),
        Column("walls", Of.ROOM, "wall_kind", OneOf(_words(stages.WallKind)), "Blank is the house's usual wall"),
        Column("floor", Of.ROOM, "floor_kind", OneOf(_words(stages.FloorKind)), "Blank is timber"),
        Column("joists", Of.ROOM, "joists", OneOf(_words(stages.JoistRun)), "Which way they run on the grid; blank is not known"),
        Column("drops in", Of.ROOM, "drop_cover", OneOf(_words(stages.DropCover)), "What covers cables; blank is capping"),
        Column("length m", Of.ROOM, "length_metres", size, "Along the grid's x"),
        Column("width m", Of.ROOM, "width_metres", size, "Along the grid's y"),
        Column("height m", Of.ROOM, "height_metres", Measure(Decimal("0.5"), Decimal(12), "m"), "Blank is 2.40"),
        Column("x m", Of.ROOM, "grid_x_metres", grid, "The room's corner on its floor's grid, from any fixed corner"),
        Column("y m", Of.ROOM, "grid_y_metres", grid, "As x, the other way"),
        Column("room note", Of.ROOM, "notes", Text(1000, has_lines=True), "What the crew should know"),
        Column("point", Of.POINT, "kind", points, "Kind of point, by the name or code in your catalogue", True),
        Column("quantity", Of.POINT, "quantity", Whole(1, MOST_PER_ROW), "How many of them in this room", True),
        Column("label", Of.POINT, "label", Text(80), "Where exactly, or what for"),
        Column("point height mm", Of.POINT, "height_mm", Whole(1, 6000, "mm"), "Above the finished floor"),
        Column("circuit", Of.CIRCUIT, "reference", Text(12), "As written on the sheath, e.g. R1; blank if undecided"),
        Column("circuit name", Of.CIRCUIT, "name", Text(80), "Once per circuit; blank is its kind"),
        Column("circuit kind", Of.CIRCUIT, "kind", OneOf(_words(stages.CircuitKind)), "Blank follows its first point"),
        Column("device", Of.CIRCUIT, "device", Text(40), "Protective device, e.g. RCBO type A, B curve"),
        Column("amps", Of.CIRCUIT, "device_rating_amps", Measure(Decimal(1), Decimal(125), "A", 1), "Its rating"),
        Column("cable m", Of.CIRCUIT, "cable_metres", Measure(Decimal("0.1"), Decimal(2000), "m"),
               "Only where you measured it; blank is worked out"),
    )


def _words(kinds: type[stages.Worded]) -> tuple[tuple[str, str], ...]:
    return tuple((kind.value, kind.label) for kind in kinds)

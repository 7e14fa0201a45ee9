"""The firm's catalogue as its pages list it: groups of rows with a cell for each column."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Count

from jobs.core.drying import Air, drying_days
from jobs.core.drying import DryingRule as CoreRule
from jobs.core.stages import CircuitKind, RoomKind, Stage
from jobs.models import (
    AccessoryRange,
    ChecklistLine,
    CircuitRecipe,
    DependencyRule,
    DryingRule,
    Firm,
    FirmOwned,
    LabourNorm,
    PointKind,
    RecipeLine,
    Swap,
    VisitKind,
)

ANY = "any"
EXAMPLE_MM = 13


@dataclass(frozen=True)
class Row:
    pk: int
    name: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Group:
    """A table: its title, its columns (the first is the row's name) and its rows."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]


def list_points(firm: Firm) -> list[Group]:
    """Point kinds with their usual circuit and hours in masonry and in stud."""
    hours: dict[tuple[int, str, str], str] = {}
    for norm in LabourNorm.objects.filter(firm=firm, per=LabourNorm.Per.POINT):
        hours[norm.point_kind_id, norm.stage, norm.wall_kind] = _number(norm.labour_hours)
    kinds = PointKind.objects.filter(firm=firm).annotate(materials=Count("recipe_lines"))
    names = {kind.value: kind.label for kind in CircuitKind}
    rows = tuple(
        Row(kind.pk, kind.name, (
            names.get(kind.circuit_kind, "none"), _both_walls(hours, kind, Stage.FIRST_FIX),
            _both_walls(hours, kind, Stage.SECOND_FIX), str(kind.materials),
        ))
        for kind in kinds
    )
    columns = (
        "Point", "Usual circuit", "First fix hours, masonry / stud", "Second fix hours, masonry / stud", "Materials",
    )
    return [Group("Kinds of point", columns, rows)]


def list_recipe(kind: PointKind) -> list[Group]:
    """What one kind of point takes, stage by stage, and how long it takes."""
    return [Group("Materials", RECIPE_COLUMNS, tuple(_recipe_rows(kind)))]


def list_point_hours(kind: PointKind) -> list[Group]:
    norms = kind.labour_norms.order_by("stage", "wall_kind", "pk")
    return [Group("Hours", HOURS_COLUMNS, tuple(map(_hours_row, norms)))]


RECIPE_COLUMNS = ("Material", "Stage", "Wall", "Quantity", "Source")
HOURS_COLUMNS = ("Task", "Stage", "For", "Wall", "Hours", "Usual range", "Source")


def list_hours(firm: Firm) -> list[Group]:
    """Hours that hang on no point: by room, by circuit, by house."""
    norms = LabourNorm.objects.filter(firm=firm).exclude(per=LabourNorm.Per.POINT).order_by("per", "stage", "task", "pk")
    grouped = _grouped(norms, lambda norm: norm.get_per_display().capitalize())
    return [Group(title, HOURS_COLUMNS, tuple(map(_hours_row, rows))) for title, rows in grouped.items()]


def list_circuits(firm: Firm) -> list[Group]:
    columns = (
        "Circuit", "Cable", "Clip", "Every third clip", "Device", "Board to first point, m", "Point to point, m", "Drop, m",
        "Leg at the board, m", "Source",
    )
    rows = CircuitRecipe.objects.filter(firm=firm).select_related("cable", "clip", "fire_clip", "device")
    return [Group("Circuits", columns, tuple(map(_circuit_row, rows)))]


def list_checks(firm: Firm) -> list[Group]:
    """Checklist lines by stage, the common ones before those of a kind of room."""
    lines = sorted(
        ChecklistLine.objects.filter(firm=firm),
        key=lambda line: (list(Stage).index(Stage(line.stage)), *_room_order(line), line.position, line.pk),
    )
    grouped = _grouped(lines, lambda line: f"{line.get_stage_display()}: {line.get_room_kind_display() or 'every room'}")
    columns = ("Check", "Code", "Hold point", "Source")
    return [Group(title, columns, tuple(map(_check_row, rows))) for title, rows in grouped.items()]


def list_visits(firm: Firm) -> list[Group]:
    kinds = VisitKind.objects.filter(firm=firm).order_by("-is_usual", "name")
    grouped = _grouped(kinds, lambda kind: "In every new programme" if kind.is_usual else "Added where needed")
    columns = ("Visit", "Trade", "Days", "Asked ahead, days", "Closes walls or ceilings", "Where", "Source")
    return [Group(title, columns, tuple(map(_visit_row, rows))) for title, rows in grouped.items()]


def list_waits(firm: Firm) -> list[Group]:
    """The template: what waits for what."""
    visits = VisitKind.objects.filter(firm=firm).values_list("code", "name")
    names = {stage.value: stage.label for stage in Stage} | dict(visits)
    rows = tuple(
        Row(rule.pk, names.get(rule.after, rule.after), (
            names.get(rule.before, rule.before), f"{rule.get_kind_display()}{_lag(rule)}",
            "same area" if rule.same_area else "whole house", rule.reason, rule.source,
        ))
        for rule in DependencyRule.objects.filter(firm=firm).order_by("pk")
    )
    return [Group("What waits for what", ("What waits", "For", "When", "Where", "Why", "Source"), rows)]


def list_ranges(firm: Firm) -> list[Group]:
    ranges = AccessoryRange.objects.filter(firm=firm).annotate(swapped=Count("swaps"), used=Count("jobs", distinct=True))
    rows = tuple(Row(one.pk, one.name, (str(one.swapped), str(one.used), one.source)) for one in ranges)
    return [Group("Ranges", ("Range", "Materials it swaps", "Jobs", "Source"), rows)]


def list_swaps(firm: Firm) -> list[Group]:
    swaps = Swap.objects.filter(firm=firm).select_related("accessory_range", "in_place_of", "item")
    grouped = _grouped(swaps, lambda swap: str(swap.accessory_range or f"Drops in {swap.get_drop_cover_display().lower()}"))
    columns = ("In place of", "Take", "For each", "Source")
    return [Group(title, columns, tuple(map(_swap_row, rows))) for title, rows in grouped.items()]


def list_drying(firm: Firm) -> list[Group]:
    columns = (
        "Plaster", "Least days, warm / cold", "Days per mm, warm / cold",
        f"At {EXAMPLE_MM} mm: warm / cool / cold", "Source",
    )
    return [Group("Drying", columns, tuple(map(_drying_row, DryingRule.objects.filter(firm=firm))))]


def _recipe_rows(kind: PointKind) -> Iterator[Row]:
    lines = RecipeLine.objects.filter(point_kind=kind).select_related("item").order_by("stage", "wall_kind", "item__name")
    for line in lines:
        wall = line.get_wall_kind_display().lower() or ANY
        quantity = f"{_number(line.quantity)} m" if line.item.is_cable else _number(line.quantity)
        yield Row(line.pk, line.item.name, (line.get_stage_display(), wall, quantity, line.source))


def _hours_row(norm: LabourNorm) -> Row:
    places = [norm.get_room_kind_display(), norm.floor_kind and f"{norm.get_floor_kind_display()} floor"]
    where = ", ".join(place.lower() for place in places if place) or ANY
    usual = f"{_number(norm.low_hours)} to {_number(norm.high_hours)}"
    wall = norm.get_wall_kind_display().lower() or ANY
    return Row(norm.pk, norm.task, (norm.get_stage_display(), where, wall, _number(norm.labour_hours), usual, norm.source))


def _circuit_row(recipe: CircuitRecipe) -> Row:
    metres = (recipe.board_run_metres, recipe.between_metres, recipe.drop_metres, recipe.board_leg_metres)
    items = (str(recipe.cable), str(recipe.clip or "none"), str(recipe.fire_clip or "none"), str(recipe.device or "none"))
    return Row(recipe.pk, str(recipe), (*items, *map(_number, metres), recipe.source))


def _swap_row(swap: Swap) -> Row:
    item = swap.item.name if swap.quantity else "nothing"
    return Row(swap.pk, swap.in_place_of.name, (item, _number(swap.quantity), swap.source))


def _check_row(line: ChecklistLine) -> Row:
    return Row(line.pk, line.text, (line.code, "hold point" if line.is_hold_point else "", line.source))


def _visit_row(kind: VisitKind) -> Row:
    closes = "closes them" if kind.covers_up else ""
    where = "each area" if kind.per_area else "whole house"
    return Row(kind.pk, kind.name, (
        kind.get_trade_display(), _number(kind.length_days), str(kind.lead_days), closes, where, kind.source,
    ))


def _drying_row(rule: DryingRule) -> Row:
    core = CoreRule(rule.minimum_days, rule.cold_minimum_days, rule.days_per_mm, rule.cold_days_per_mm)
    example = " / ".join(str(drying_days(core, EXAMPLE_MM, air)) for air in Air)
    rates = f"{_number(rule.days_per_mm)} / {_number(rule.cold_days_per_mm)}"
    return Row(rule.pk, rule.name, (f"{rule.minimum_days} / {rule.cold_minimum_days}", rates, example, rule.source))


def _lag(rule: DependencyRule) -> str:
    if rule.waits_for_plaster:
        return ", when the plaster is dry"
    parts = [(rule.lag_days, "day"), (rule.lag_sessions, "half day")]
    words = [f"{number} {noun}{'s' if number > 1 else ''}" for number, noun in parts if number]
    return f", {' and '.join(words)} later" if words else ""


def _both_walls(hours: dict[tuple[int, str, str], str], kind: PointKind, stage: Stage) -> str:
    both = [hours.get((kind.pk, stage, wall)) or hours.get((kind.pk, stage, "")) or "–" for wall in ("masonry", "stud")]
    return " / ".join(both)


def _room_order(line: ChecklistLine) -> tuple[bool, int]:
    kinds = [kind.value for kind in RoomKind]
    return bool(line.room_kind), kinds.index(line.room_kind) if line.room_kind else 0


def _number(value: Decimal) -> str:
    return f"{value:f}".rstrip("0").rstrip(".") if "." in f"{value:f}" else f"{value:f}"


def _grouped(rows: Iterable[FirmOwned], title: Callable[[FirmOwned], str]) -> dict[str, list[FirmOwned]]:
    groups: dict[str, list[FirmOwned]] = defaultdict(list)
    for row in rows:
        groups[title(row)].append(row)
    return groups

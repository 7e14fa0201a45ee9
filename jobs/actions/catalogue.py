"""The catalogue a firm starts with, and the changes it makes to it."""

import json
from collections.abc import Mapping
from decimal import Decimal
from itertools import count
from typing import Any, TypeVar

from django.conf import settings
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import models, transaction
from django.utils.text import slugify

from jobs.actions.catalogue_versions import keep_version, start_history
from jobs.actions.permission import Refused, require_office
from jobs.models import (
    AccessoryRange,
    ChecklistLine,
    CircuitRecipe,
    DependencyRule,
    DryingRule,
    Firm,
    FirmOwned,
    Item,
    LabourNorm,
    PointKind,
    RecipeLine,
    Swap,
    User,
    VisitKind,
)

Row = TypeVar("Row", bound=FirmOwned)
FOLDER = settings.BASE_DIR / "fixtures" / "catalogue"


@transaction.atomic
def load_catalogue(*, firm: Firm) -> None:
    """Give `firm` the rows of the shipped catalogue that it has not got; rows it has stay as it left them.

    A recipe and its hours come with a point kind that is new to the firm; rows without a name of their own (room
    and circuit hours, a checklist, the waits) come only where the firm has none, so what it deleted stays away.
    """
    items = _add_missing(firm, Item, "code", _read("items"))
    had = set(PointKind.objects.filter(firm=firm).values_list("code", flat=True))
    kinds = _add_missing(firm, PointKind, "code", _read("point_kinds"))
    _add_recipes(firm, had, kinds, items)
    _add_norms(firm, had, kinds)
    _add_checklists(firm)
    _add_circuit_recipes(firm, items)
    _add_ranges(firm, items)
    _add_missing(firm, VisitKind, "code", _read("visit_kinds"))
    _add_missing(firm, DryingRule, "system", _read("drying"))
    if not DependencyRule.objects.filter(firm=firm).exists():
        _add(firm, DependencyRule, _read("dependencies"))


def _read(name: str) -> list[dict[str, Any]]:
    return json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))


def _add(firm: Firm, model: type[FirmOwned], rows: list[dict[str, Any]]) -> None:
    model.objects.bulk_create(model(firm=firm, **row) for row in rows)


def _add_missing(firm: Firm, model: type[FirmOwned], key: str, rows: list[dict[str, Any]]) -> dict[str, models.Model]:
    """Add the rows whose `key` the firm has not got; all of the firm's rows by key."""
    had = set(model.objects.filter(firm=firm).values_list(key, flat=True))
    _add(firm, model, [row for row in rows if row[key] not in had])
    return {getattr(row, key): row for row in model.objects.filter(firm=firm)}


def _add_recipes(firm: Firm, had: set[str], kinds: dict, items: dict) -> None:
    rows = [row for row in _read("recipes") if row["point_kind"] not in had]
    _add(firm, RecipeLine, [
        row | {"point_kind": kinds[row["point_kind"]], "item": items[row["item"]]} for row in rows
    ])


def _add_norms(firm: Firm, had: set[str], kinds: dict) -> None:
    has_own = set(LabourNorm.objects.filter(firm=firm).values_list("per", flat=True))
    rows = [
        row for row in _read("labour_norms")
        if (row["point_kind"] not in had if row["per"] == "point" else row["per"] not in has_own)
    ]
    _add(firm, LabourNorm, [row | {"point_kind": kinds.get(row.get("point_kind"))} for row in rows])


def _add_checklists(firm: Firm) -> None:
    had = set(ChecklistLine.objects.filter(firm=firm).values_list("stage", "room_kind"))
    _add(firm, ChecklistLine, [row for row in _read("checklists") if (row["stage"], row["room_kind"]) not in had])


def _add_circuit_recipes(firm: Firm, items: dict) -> None:
    had = set(CircuitRecipe.objects.filter(firm=firm).values_list("circuit_kind", flat=True))
    _add(firm, CircuitRecipe, [
        row | {name: items[row[name]] for name in ("cable", "clip", "fire_clip", "device") if name in row}
        for row in _read("circuits") if row["circuit_kind"] not in had
    ])


def _add_ranges(firm: Firm, items: dict) -> None:
    """Ranges and swaps, where the firm has none of either."""
    if Swap.objects.filter(firm=firm).exists() or AccessoryRange.objects.filter(firm=firm).exists():
        return
    ranges = _add_missing(firm, AccessoryRange, "code", _read("ranges"))
    _add(firm, Swap, [
        row | {"in_place_of": items[row["in_place_of"]], "item": items[row["item"]],
               "accessory_range": ranges.get(row.get("accessory_range"))}
        for row in _read("swaps")
    ])


OWN_SOURCE = "the firm's own figure"
"""Where a value comes from once the firm has changed it."""


@transaction.atomic
def add_catalogue_row(*, firm: Firm, model: type[Row], details: Mapping[str, object], by: User) -> Row:
    """Add a row of the firm's own; `details` are fields of `model`."""
    require_office(by, firm, *_owned(details))
    start_history(firm=firm, by=by)
    row = model(firm=firm, **details | {"source": OWN_SOURCE})
    _name(row)
    _check(row)
    row.save()
    keep_version(firm=firm, by=by, what=f"Added {_words(row)}")
    return row


@transaction.atomic
def edit_catalogue_row(*, row: Row, details: Mapping[str, object], by: User) -> Row:
    """Change a row. New take-offs use it, others once they are made again; a changed figure is the firm's own."""
    require_office(by, row, *_owned(details))
    start_history(firm=row.firm, by=by)
    had = {name: getattr(row, name) for name in details}
    changed = {name for name, value in details.items() if getattr(row, name) != value}
    for name in changed:
        setattr(row, name, details[name])
    if changed & FIGURES:
        row.source = OWN_SOURCE
    _check(row)
    row.save()
    if changed:
        keep_version(firm=row.firm, by=by, what=f"Changed {_words(row)}: {_difference(row, had, changed)}")
    return row


@transaction.atomic
def remove_catalogue_row(*, row: Row, by: User) -> None:
    """Take a row out of the catalogue, unless a job uses it."""
    require_office(by, row)
    start_history(firm=row.firm, by=by)
    what = f"Removed {_words(row)}"
    try:
        row.delete()
    except models.ProtectedError as error:
        raise Refused(f"“{row}” is used in {_count(len(error.protected_objects))}, so it stays in the catalogue.") from error
    keep_version(firm=row.firm, by=by, what=what)


def _words(row: FirmOwned) -> str:
    """A row in words, with what it belongs to."""
    what = row._meta.verbose_name
    whose = getattr(row, "point_kind", None)
    return f"{what} “{row}”" + (f" of “{whose}”" if whose and str(whose) not in str(row) else "")


def _difference(row: FirmOwned, had: Mapping[str, object], changed: set[str]) -> str:
    parts = []
    for name in sorted(changed):
        words = row._meta.get_field(name).verbose_name
        parts.append(f"{words} {_shown(had[name])} → {_shown(getattr(row, name))}")
    return "; ".join(parts)


def _shown(value: object) -> str:
    return f"{value.normalize():f}" if isinstance(value, Decimal) else "none" if value in (None, "") else str(value)


FIGURES = {
    "quantity", "labour_hours", "low_hours", "high_hours", "cable_ends", "run_metres", "board_run_metres", "between_metres",
    "drop_metres", "board_leg_metres", "minimum_days", "cold_minimum_days", "days_per_mm", "cold_days_per_mm",
    "length_days", "lead_days", "lag_days", "lag_sessions", "text", "places",
}
"""Fields whose source the row names."""


def _owned(details: Mapping[str, object]) -> list[FirmOwned]:
    return [value for value in details.values() if isinstance(value, FirmOwned)]


def _name(row: FirmOwned) -> None:
    """Give a new row the code it is known by, made from its name, or counted on where it has none."""
    field = {
        PointKind: "code", VisitKind: "code", DryingRule: "system", ChecklistLine: "code", AccessoryRange: "code",
    }.get(type(row))
    if field is None:
        return
    taken = set(type(row).objects.filter(firm=row.firm).values_list(field, flat=True))
    stem = slugify(getattr(row, "name", ""))[:25] or "own"
    setattr(row, field, next(code for code in (f"{stem}-{number}" for number in count(1)) if code not in taken))


def _check(row: FirmOwned) -> None:
    try:
        row.full_clean()
    except ValidationError as error:
        field, messages = next(iter(error.message_dict.items()))
        raise Refused(" ".join(messages), field="" if field == NON_FIELD_ERRORS else field) from error


def _count(uses: int) -> str:
    return "one place of a job" if uses == 1 else f"{uses} places of jobs"

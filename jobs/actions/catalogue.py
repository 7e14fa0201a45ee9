"""The catalogue a firm starts with, and the changes it makes to it."""

import json
from typing import Any

from django.conf import settings
from django.db import models, transaction

from jobs.models import (
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
    VisitKind,
)

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
        row | {name: items[row[name]] for name in ("cable", "clip", "device") if name in row}
        for row in _read("circuits") if row["circuit_kind"] not in had
    ])

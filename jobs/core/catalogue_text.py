"""A catalogue's figures as plain data that JSON can keep, and back. What is read back equals what was written."""

from collections.abc import Mapping
from dataclasses import asdict
from decimal import Decimal
from typing import Any

from jobs.core.cable import Averages
from jobs.core.catalogue import Catalogue, CircuitRecipe, Norm, PointKind, Recipe, Swap
from jobs.core.stages import CircuitKind, FloorKind, RoomKind, Stage, WallKind

Figures = dict[str, Any]
ALLOWANCES = ("slack_metres", "board_end_metres", "waste_percent", "occupied_factor")


def write_figures(catalogue: Catalogue) -> Figures:
    """The figures as dicts, lists, texts and whole numbers; decimals are texts."""
    return _plain({
        "kinds": [asdict(kind) for kind in catalogue.kinds.values()],
        "recipes": [asdict(recipe) for recipe in catalogue.recipes],
        "norms": [asdict(norm) for norm in catalogue.norms],
        "circuits": [asdict(recipe) | {"kind": kind} for kind, recipe in catalogue.circuits.items()],
        "live_mm2": dict(catalogue.live_mm2),
        "ways": dict(catalogue.ways),
        "swaps": [asdict(swap) for swap in catalogue.swaps],
        "spare_ways_percent": catalogue.spare_ways_percent,
        **{name: getattr(catalogue, name) for name in ALLOWANCES},
    })


def read_figures(figures: Mapping[str, Any]) -> Catalogue:
    """The catalogue that `write_figures` wrote."""
    return Catalogue(
        kinds={row["code"]: PointKind(**row | {"run_metres": _number(row["run_metres"])}) for row in figures["kinds"]},
        recipes=tuple(map(_recipe, figures["recipes"])),
        norms=tuple(map(_norm, figures["norms"])),
        circuits={CircuitKind(row["kind"]): _circuit(row) for row in figures["circuits"]},
        live_mm2={item: Decimal(size) for item, size in figures["live_mm2"].items()},
        ways=figures["ways"],
        swaps=tuple(Swap(**row | {"quantity": Decimal(row["quantity"])}) for row in figures["swaps"]),
        spare_ways_percent=figures["spare_ways_percent"],
        **{name: Decimal(figures[name]) for name in ALLOWANCES},
    )


def _plain(value: object) -> object:
    if isinstance(value, Mapping):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    return str(value) if isinstance(value, str) else value


def _number(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)


def _recipe(row: Figures) -> Recipe:
    wall = WallKind(row["wall"]) if row["wall"] else None
    return Recipe(row["point_kind"], Stage(row["stage"]), row["item"], Decimal(row["quantity"]), wall)


def _norm(row: Figures) -> Norm:
    kinds = {"room_kind": RoomKind, "wall": WallKind, "floor": FloorKind}
    limits = {name: kind(row[name]) if row[name] else None for name, kind in kinds.items()}
    return Norm(**row | limits | {"stage": Stage(row["stage"]), "hours": Decimal(row["hours"])})


def _circuit(row: Figures) -> CircuitRecipe:
    averages = Averages(**{name: Decimal(metres) for name, metres in row["averages"].items()})
    return CircuitRecipe(row["cable"], averages, row["clip"], row["device"], row["fire_clip"])

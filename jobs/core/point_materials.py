"""What the points of a house take by their recipes, with the house's own choices.

A range of accessories and a cover of drops put other items in place of the recipes'. The consumer unit has a way for each
circuit's device and some to spare.
"""

from collections.abc import Iterator
from decimal import Decimal
from itertools import product
from math import ceil

from jobs.core.catalogue import Catalogue, Recipe, recipe_for
from jobs.core.stages import WORKED_STAGES, WallKind
from jobs.core.takeoff import BOARD_POINT, HouseSurvey, Material, RoomSurvey, count_kinds, point_code

BLANK = "board-blank"
"""The item that closes a spare way."""


def list_point_materials(house: HouseSurvey, catalogue: Catalogue) -> list[Material]:
    """What the points take; cable comes from `jobs.core.circuit_takeoff` where a circuit feeds them."""
    return [
        Material(house.package_area(room, stage), room.key, stage, point_code(kind), item, quantity * count)
        for room, stage in product(house.rooms, WORKED_STAGES)
        for kind, count in count_kinds(room).items()
        for recipe in recipe_for(catalogue, kind, stage, room.wall)
        if not is_fed_by_recipe(recipe, catalogue)
        for item, quantity in _taken(recipe, room, house, catalogue)
    ]


def is_fed_by_recipe(recipe: Recipe, catalogue: Catalogue) -> bool:
    """Whether a line is the cable that feeds a point which its circuit's own cable does not reach."""
    return catalogue.kinds[recipe.point_kind].cable_ends == 0 and recipe.item in catalogue.live_mm2


def count_ways(house: HouseSurvey, catalogue: Catalogue) -> int:
    """Ways a new consumer unit needs: one for each device and the spare ones, rounded up."""
    used = count_devices(house, catalogue)
    return used + ceil(Decimal(used * catalogue.spare_ways_percent) / 100)


def count_devices(house: HouseSurvey, catalogue: Catalogue) -> int:
    """Circuits with points whose kind has a protective device."""
    with_points = {point.circuit for room in house.rooms for point in room.points}
    circuits = (catalogue.circuits.get(one.kind) for one in house.circuits if one.reference in with_points)
    return sum(bool(recipe and recipe.device) for recipe in circuits)


def find_unit(house: HouseSurvey, catalogue: Catalogue) -> tuple[str, int] | None:
    """The smallest unit (item, ways) with enough ways, else the largest; None when the catalogue has none."""
    needed = count_ways(house, catalogue)
    units = sorted(catalogue.ways.items(), key=lambda unit: (unit[1], unit[0]))
    return next((unit for unit in units if unit[1] >= needed), units[-1] if units else None)


def _taken(recipe: Recipe, room: RoomSurvey, house: HouseSurvey, catalogue: Catalogue) -> Iterator[tuple[str, Decimal]]:
    item, quantity = _of_board(recipe, house, catalogue)
    choices = [house.accessory_range] if room.wall == WallKind.STUD else [house.accessory_range, room.drop_cover]
    taken = [(item, quantity)]
    for choice in choices:
        taken = [swapped for one, each in taken for swapped in _swapped(one, each, choice, catalogue)]
    return ((one, each) for one, each in taken if each)


def _swapped(item: str, quantity: Decimal, choice: str, catalogue: Catalogue) -> list[tuple[str, Decimal]]:
    swaps = catalogue.swaps_of.get((choice, item))
    return [(swap.item, quantity * swap.quantity) for swap in swaps] if swaps else [(item, quantity)]


def _of_board(recipe: Recipe, house: HouseSurvey, catalogue: Catalogue) -> tuple[str, Decimal]:
    unit = find_unit(house, catalogue) if recipe.point_kind == BOARD_POINT else None
    if unit and recipe.item in catalogue.ways:
        return unit[0], recipe.quantity
    if unit and recipe.item == BLANK:
        return BLANK, Decimal(max(unit[1] - count_devices(house, catalogue), 0))
    return recipe.item, recipe.quantity

import json
from decimal import Decimal as D

from jobs.core.cable import Averages
from jobs.core.catalogue import Catalogue, CircuitRecipe, Norm, PointKind, Recipe, Swap
from jobs.core.catalogue_text import read_figures, write_figures
from jobs.core.stages import CircuitKind, FloorKind, RoomKind, Stage, WallKind

CATALOGUE = Catalogue(
    kinds={"socket": PointKind("socket", "Socket", 2, D("4.50")), "pair": PointKind("pair", "Pair", 0, places=2)},
    recipes=(Recipe("socket", Stage.FIRST_FIX, "box", D(1), WallKind.STUD), Recipe("socket", Stage.TEST, "label", D("0.5"))),
    norms=(
        Norm("point", Stage.FIRST_FIX, "Socket", D("1.20"), "socket", wall=WallKind.MASONRY),
        Norm("room", Stage.STRIP_OUT, "Clear", D(2), room_kind=RoomKind.KITCHEN, floor=FloorKind.TIMBER),
    ),
    circuits={CircuitKind.RING: CircuitRecipe("flat", Averages(D(6), D("4.5"), D("0.45"), D("1.6")), "clip", "rcbo", "fire")},
    live_mm2={"flat": D("2.5")},
    ways={"board-10": 10},
    swaps=(Swap("flat-plate", "box", "deep-box", D(1)),),
    spare_ways_percent=15,
    waste_percent=D("12.5"),
)


def test_catalogue_is_the_same_when_written_and_read():
    assert read_figures(json.loads(json.dumps(write_figures(CATALOGUE)))) == CATALOGUE


def test_figures_are_equal_when_only_their_zeros_differ():
    padded = Catalogue(kinds=CATALOGUE.kinds, waste_percent=D("10.0"))
    assert write_figures(padded) == write_figures(Catalogue(kinds=CATALOGUE.kinds, waste_percent=D(10)))

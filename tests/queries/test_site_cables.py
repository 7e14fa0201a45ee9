from decimal import Decimal

from jobs.core.cut_list import Cut, CutList, Kind, Length, Request, Run
from jobs.models import Item
from jobs.queries.cut_sheets import Sheet
from jobs.queries.site_cables import list_cables

CABLE = Item(name="Cable 2.5")
RING, COOKER, LIGHTS = Run("C2", Decimal(45), "Ring"), Run("C1", Decimal(20), "Cooker"), Run("C3", Decimal(130), "Lights")
ON_VAN = Length("D1", Decimal(50), Kind.STARTED, "Van")


def sheet() -> Sheet:
    new = Length("New drum 1", Decimal(100), Kind.NEW)
    cuts = CutList((Cut(ON_VAN, (RING,)), Cut(new, (COOKER,))), uncut=(LIGHTS,))
    return Sheet(CABLE, Request((RING, COOKER, LIGHTS), (ON_VAN,)), cuts, asked=3, estimated=0)


def test_every_run_is_listed_once_by_reference_when_some_cannot_be_cut():
    assert [(line.run.reference, line.cable) for line in list_cables([sheet()])] == [
        ("C1", CABLE), ("C2", CABLE), ("C3", CABLE),
    ]


def test_drum_is_named_only_when_it_is_there():
    lines = list_cables([sheet()])
    assert [line.is_on_a_drum_there_is for line in lines] == [False, True, False]
    assert [line.length and line.length.label for line in lines] == ["New drum 1", "D1", None]

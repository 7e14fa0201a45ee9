"""How deep a chase may be cut into one leaf of masonry. Millimetres. Hollow blocks, thin walls: ask an engineer first."""

from decimal import Decimal

from jobs.core.electrics.checks import Check, Outcome, at_most
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.figures import plain


def deepest_chase_mm(leaf_mm: int, *, is_vertical: bool) -> Decimal:
    """A third of the leaf up and down, a sixth across. ValueError for a leaf of 0 mm or less."""
    if leaf_mm <= 0:
        raise ValueError("A leaf is thicker than 0 mm.")
    return Decimal(leaf_mm) / value(_code(is_vertical))


def judge_chase(depth_mm: int, leaf_mm: int, *, is_vertical: bool, is_back_to_back: bool = False) -> list[Check]:
    """Depth against the deepest for this leaf; chases back to back fail. ValueError for a leaf of 0 mm or less."""
    most, share = deepest_chase_mm(leaf_mm, is_vertical=is_vertical), plain(value(_code(is_vertical)))
    name = "Vertical chase" if is_vertical else "Horizontal chase"
    row = rule(_code(is_vertical))
    depth = at_most(
        "chase", name, Decimal(depth_mm), most, "mm", formula=f"depth ≤ leaf ÷ {share}", rules=(row,),
        numbers=f"{depth_mm} mm ≤ {leaf_mm} ÷ {share} = {plain(most, 1)} mm",
    )
    if not is_back_to_back:
        return [depth]
    advice = "Move one of them: together they weaken the leaf."
    return [depth, Check("chase-back", "Not back to back", Outcome.FAIL, rules=(row,), advice=advice)]


def _code(is_vertical: bool) -> str:
    return "CHASE-VERTICAL" if is_vertical else "CHASE-HORIZONTAL"

"""What the calculators of the site answer: a line for each figure worked out, checks, and the rows all of it stands on."""

from dataclasses import dataclass
from decimal import Decimal

from jobs.core.electrics.bathroom import BathPlace, check_socket, zone_of
from jobs.core.electrics.cables import Cable, resistance_rule
from jobs.core.electrics.checks import Check
from jobs.core.electrics.clips import clips_for, list_spacing_rules
from jobs.core.electrics.fault_loop import line_and_cpc_ohms
from jobs.core.electrics.ring import expected_ends
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.electrics.rules import Rule
from jobs.core.electrics.zones import Visible, WallFace, judge_run, zone_counts_behind, zones_of
from jobs.core.figures import plain


@dataclass(frozen=True)
class Answer:
    """`lines`: (what, figure in words)."""

    lines: tuple[tuple[str, str], ...]
    checks: tuple[Check, ...] = ()
    rules: tuple[Rule, ...] = ()


ZONE_LIMITS = tuple(map(rule, ("ZONE-EDGE", "ZONE-POINT", "ZONE-DEPTH", "ZONE-REVERSE", "RCD-CONCEALED", "JOIST-DEPTH")))
CLIP_LIMITS = (*list_spacing_rules(), rule("FIRE-SUPPORT"))
RING_LIMITS = tuple(map(rule, ("RING-ENDS", "RING-RATIO-LOW", "RING-RATIO-HIGH", "RING-CROSS", "RING-SPREAD")))
BATH_LIMITS = tuple(map(rule, (
    "BATH-HEIGHT", "BATH-ZONE-2", "BATH-RADIUS", "BATH-FLOOR", "BATH-IP-0", "BATH-IP-1", "BATH-IP-2", "RCD-BATHROOM",
    "BATH-SOCKET", "BATH-SOCKET-OLD",
)))


def answer_zones(
    wall: WallFace, point: Visible, *, start: tuple[int, int], end: tuple[int, int], depth_mm: int = 0,
    has_metal_cover: bool = False, has_rcd: bool = True, thickness_mm: int | None = None,
) -> Answer:
    """The zones of a wall with one point, and a straight run of cable judged against them."""
    lines = [
        (zone.why.capitalize(), f"{zone.left_mm} to {zone.right_mm} mm across, {zone.bottom_mm} to {zone.top_mm} mm up")
        for zone in zones_of(wall, [point])
    ]
    if thickness_mm is not None:
        counts = "count there too, if the point can be told from that side"
        words = counts if zone_counts_behind(thickness_mm) else "do not count there"
        lines.append((f"Other side of {thickness_mm} mm", f"the zones {words}"))
    checks = judge_run(
        wall, [point], start, end, depth_mm=depth_mm, has_metal_cover=has_metal_cover, has_rcd=has_rcd
    )
    return Answer(tuple(lines), tuple(checks), (rule("ZONE-REVERSE"),) if thickness_mm is not None else ())


def answer_clips(cable: Cable, *, across_metres: Decimal, down_metres: Decimal) -> Answer:
    """How far apart and how many, for a cable so far across and so far down. ValueError for a negative length."""
    found = clips_for(across_metres=across_metres, down_metres=down_metres, width_mm=cable.width_mm)
    every = f"{found.across_mm} mm across, {found.down_mm} mm down"
    return Answer((("Clip every", every), ("Clips", found.numbers)), rules=found.rules)


def answer_ring(cable: Cable, loop_metres: Decimal) -> Answer:
    """Readings a sound ring of this length gives at 20 °C; and R1 + R2 if the same cable were a radial."""
    ends = expected_ends(cable, loop_metres)
    lines = (
        ("r1 and rn, end to end", _ohms(ends.r1)), ("r2, end to end", _ohms(ends.r2)),
        ("Line to neutral at each socket, cross-connected", f"{_ohms(ends.cross_live)}, (r1 + rn) ÷ 4"),
        ("Line to cpc at each socket, cross-connected",
         f"{_ohms(ends.lowest_cross_cpc)} by the board to {_ohms(ends.cross_cpc)} half-way, (r1 + r2) ÷ 4, which is R1 + R2"),
        ("R1 + R2 of a radial as long", _ohms(line_and_cpc_ohms(cable, loop_metres))),
    )
    sizes = dict.fromkeys((cable.live_mm2, cable.cpc_mm2))
    return Answer(lines, rules=(*map(resistance_rule, sizes), rule("RING-CROSS"), rule("RING-SPREAD")))


def answer_bathroom(place: BathPlace) -> Answer:
    """The zone of a place, what it asks for, and a 13 A socket there by the later and the older figure."""
    found = zone_of(place)
    lines = (("It lies in", found.zone.label), *(("Asked there", need) for need in found.needs))
    return Answer(lines, tuple(check_socket(place)), found.rules)


def _ohms(ohms: Decimal) -> str:
    return f"{plain(ohms, 4 if ohms < value('RING-ENDS') else 3)} Ω"

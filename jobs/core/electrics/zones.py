"""Where cables may lie in a wall: the zones that run to its edges and from the points one can see, by regulation 522.6.202.

Millimetres, from the wall's left edge and from the floor. A zone from a point is as wide, or as high, as the point.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.electrics.checks import Check, Outcome
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.electrics.rules import Rule


@dataclass(frozen=True)
class WallFace:
    """`left_is_angle`, `right_is_angle`: the wall meets another there (a door opening is none)."""

    length_mm: int
    height_mm: int
    left_is_angle: bool = True
    right_is_angle: bool = True

    def __post_init__(self) -> None:
        if self.length_mm <= 0 or self.height_mm <= 0:
            raise ValueError("A wall is longer and higher than 0 mm.")


@dataclass(frozen=True)
class Visible:
    """A socket, switch or other point one can see; its centre and size. A single box is 86 mm each way."""

    name: str
    x_mm: int
    y_mm: int
    width_mm: int = 86
    height_mm: int = 86


@dataclass(frozen=True)
class Zone:
    """A rectangle of the wall and why cable may lie in it."""

    why: str
    left_mm: int
    right_mm: int
    bottom_mm: int
    top_mm: int
    rule: Rule

    def holds(self, x_mm: int, y_mm: int) -> bool:
        """Whether a place of the wall lies in it, its edges included."""
        return self.left_mm <= x_mm <= self.right_mm and self.bottom_mm <= y_mm <= self.top_mm


def zones_of(wall: WallFace, points: Iterable[Visible]) -> list[Zone]:
    """Every zone of the wall: top, angles, and up, down and across from each point."""
    return [*_edges(wall), *(zone for point in points for zone in _from_point(wall, point))]


def judge_run(
    wall: WallFace, points: Iterable[Visible], start: tuple[int, int], end: tuple[int, int], *,
    depth_mm: int = 0, has_metal_cover: bool = False, has_rcd: bool = True,
) -> list[Check]:
    """A straight run of cable between two places of the wall: its depth or cover, its zone, its direction, its RCD.

    `depth_mm`: from the nearer surface; on a wall thin enough the other face counts too.
    """
    if has_metal_cover or depth_mm >= value("ZONE-DEPTH"):
        why = "earthed metal cover" if has_metal_cover else f"{depth_mm} mm deep"
        row = rule("ZONE-DEPTH")
        return [Check("zone", "Cable in a zone", Outcome.PASS, "≥ 50 mm deep, or earthed metal", why, rules=(row,))]
    return [_in_zone(wall, list(points), start, end), _with_rcd(has_rcd)]


def zone_counts_behind(thickness_mm: int) -> bool:
    """Whether a zone also counts on the other side: the point can be told from there and the wall is thin enough."""
    return thickness_mm <= value("ZONE-REVERSE")


def check_joist_crossing(depth_mm: int, *, has_protection: bool = False) -> Check:
    """A cable through a joist: how far from its nearer edge, top or bottom, else mechanically protected."""
    row = rule("JOIST-DEPTH")
    fits, numbers = depth_mm >= row.value or has_protection, f"{depth_mm} mm" + (", protected" if has_protection else "")
    return Check(
        "joist-depth", "Cable across a joist", Outcome.PASS if fits else Outcome.FAIL, "≥ 50 mm from top and bottom",
        numbers, Decimal(depth_mm), row.value, "mm", "at least 50 mm", (row,),
        "" if fits else "Drill on the centre line, or protect it against nails and screws.",
    )


def _edges(wall: WallFace) -> Iterator[Zone]:
    deep, row = int(value("ZONE-EDGE")), rule("ZONE-EDGE")
    yield Zone("along the top of the wall", 0, wall.length_mm, max(0, wall.height_mm - deep), wall.height_mm, row)
    if wall.left_is_angle:
        yield Zone("along the left angle", 0, min(deep, wall.length_mm), 0, wall.height_mm, row)
    if wall.right_is_angle:
        yield Zone("along the right angle", max(0, wall.length_mm - deep), wall.length_mm, 0, wall.height_mm, row)


def _from_point(wall: WallFace, point: Visible) -> Iterator[Zone]:
    left, right = point.x_mm - point.width_mm // 2, point.x_mm + point.width_mm // 2
    bottom, top = point.y_mm - point.height_mm // 2, point.y_mm + point.height_mm // 2
    yield Zone(f"straight up and down from {point.name}", left, right, 0, wall.height_mm, rule("ZONE-POINT"))
    yield Zone(f"straight across from {point.name}", 0, wall.length_mm, bottom, top, rule("ZONE-POINT"))


def _in_zone(wall: WallFace, points: list[Visible], start: tuple[int, int], end: tuple[int, int]) -> Check:
    found = [zone for zone in zones_of(wall, points) if zone.holds(*start) and zone.holds(*end)]
    is_straight = start[0] == end[0] or start[1] == end[1]
    rows = (rule("ZONE-EDGE"), rule("ZONE-POINT"), rule("ZONE-DEPTH"))
    numbers = f"{start[0]}, {start[1]} mm to {end[0]}, {end[1]} mm"
    fits = bool(found) and is_straight
    return Check(
        "zone", "Cable in a zone", Outcome.PASS if fits else Outcome.FAIL,
        "within 150 mm of top or angle, or straight from a point",
        f"{numbers}: {found[0].why}" if found else numbers, rules=rows, advice="" if fits else _advice(is_straight),
    )


def _advice(is_straight: bool) -> str:
    if not is_straight:
        return "No diagonals: straight up, down or across."
    return "Outside every zone: another way, 50 mm deep or more, or earthed metal over it."


def _with_rcd(has_rcd: bool) -> Check:
    row = rule("RCD-CONCEALED")
    advice = "" if has_rcd else "A cable this shallow needs the zone and a 30 mA RCD as well."
    return Check("zone-rcd", "30 mA RCD as well", Outcome.PASS if has_rcd else Outcome.FAIL, rules=(row,), advice=advice)

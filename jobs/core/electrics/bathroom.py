"""Zones of a room with a bath or shower, by distances; what may be fitted in each; sockets by the older and later figure.

Millimetres: across from the edge of the bath or tray (without a tray: from the fixed water outlet), up from the floor.
The space under a bath that needs a tool to open lies outside the zones.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.electrics.checks import Check, at_least
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.electrics.rules import Rule
from jobs.core.stages import Worded


class BathZone(Worded):
    """Zones of a room with a bath or shower, as Section 701 names them, and the room outside them."""

    ZERO = "0", "Zone 0"
    ONE = "1", "Zone 1"
    TWO = "2", "Zone 2"
    OUTSIDE = "outside", "Outside the zones"


@dataclass(frozen=True)
class BathPlace:
    """`across_mm` 0 where the place is above or in the bath or tray. `outlet_mm`: the highest fixed water outlet."""

    across_mm: int
    height_mm: int
    has_tray: bool = True
    is_inside_basin: bool = False
    outlet_mm: int = 0

    def __post_init__(self) -> None:
        if min(self.across_mm, self.height_mm, self.outlet_mm) < 0:
            raise ValueError("Distances are 0 mm or more.")


@dataclass(frozen=True)
class BathVerdict:
    """The zone and what is asked of equipment there, each with its row."""

    zone: BathZone
    needs: tuple[str, ...]
    rules: tuple[Rule, ...]


_RULES = {
    BathZone.ZERO: ("BATH-IP-0", "RCD-BATHROOM"), BathZone.ONE: ("BATH-IP-1", "RCD-BATHROOM"),
    BathZone.TWO: ("BATH-IP-2", "RCD-BATHROOM"), BathZone.OUTSIDE: ("RCD-BATHROOM",),
}


def zone_of(place: BathPlace) -> BathVerdict:
    """Where a place lies, and what that asks for."""
    zone = _zone(place)
    rows = tuple(map(rule, _RULES[zone]))
    sizes = ("BATH-HEIGHT", "BATH-ZONE-2") if place.has_tray else ("BATH-HEIGHT", "BATH-RADIUS", "BATH-FLOOR")
    return BathVerdict(zone, tuple(_words(row) for row in rows), (*rows, *map(rule, sizes)))


def check_socket(place: BathPlace) -> list[Check]:
    """A 13 A socket by its distance from the edge of zone 1: the later figure, then the older one."""
    beyond = Decimal(place.across_mm) - (0 if place.has_tray else value("BATH-RADIUS"))
    return list(_socket_checks(max(beyond, Decimal(0))))


def zone_top_mm(place: BathPlace) -> int:
    """Up to where zones 1 and 2 reach."""
    return max(int(value("BATH-HEIGHT")), place.outlet_mm)


def _zone(place: BathPlace) -> BathZone:
    if place.is_inside_basin or (not place.has_tray and _is_by_outlet(place) and place.height_mm <= value("BATH-FLOOR")):
        return BathZone.ZERO
    if place.height_mm > zone_top_mm(place):
        return BathZone.OUTSIDE
    if not place.has_tray:
        return BathZone.ONE if _is_by_outlet(place) else BathZone.OUTSIDE
    if place.across_mm == 0:
        return BathZone.ONE
    return BathZone.TWO if place.across_mm <= value("BATH-ZONE-2") else BathZone.OUTSIDE


def _is_by_outlet(place: BathPlace) -> bool:
    return place.across_mm <= value("BATH-RADIUS")


def _words(row: Rule) -> str:
    return "30 mA RCD on every circuit of the room" if row.code == "RCD-BATHROOM" else row.text.partition(": ")[2]


def _socket_checks(beyond_mm: Decimal) -> Iterator[Check]:
    for code, name in (("BATH-SOCKET", "Socket, later figure"), ("BATH-SOCKET-OLD", "Socket, older figure")):
        yield at_least(
            code.lower(), name, beyond_mm, value(code), "mm", formula="distance from the edge of zone 1", rules=(rule(code),),
            numbers=f"{beyond_mm:f} mm", advice="" if beyond_mm >= value(code) else "Shaver units apart, no socket this near.",
        )

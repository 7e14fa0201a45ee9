"""Design current of a load, and the greatest demand of a house after diversity against its supply.

Amps at 230 V, single phase. Diversity is guidance for one household: the designer decides, and sees every figure.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.electrics.checks import Check, Outcome
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.electrics.rules import Rule
from jobs.core.figures import plain
from jobs.core.stages import Worded


class LoadKind(Worded):
    """What a load is, which settles its diversity."""

    LIGHTING = "lighting", "Lighting"
    POWER = "power", "Fixed heating and power"
    COOKER = "cooker", "Cooker"
    SHOWER = "shower", "Shower or other instantaneous water heater"
    WATER = "water", "Immersion heater or other stored water"
    STORAGE = "storage", "Storage or floor heating"
    SOCKETS = "sockets", "Socket circuit (its device's rating)"
    CHARGER = "charger", "Vehicle charger"


@dataclass(frozen=True)
class Load:
    """What one circuit may draw with everything on. `has_socket`: a cooker's switch with a socket in it."""

    name: str
    kind: LoadKind
    connected_amps: Decimal
    has_socket: bool = False

    def __post_init__(self) -> None:
        if self.connected_amps < 0:
            raise ValueError("A load cannot be negative.")


@dataclass(frozen=True)
class DemandLine:
    """Loads of one kind together: what they could draw, what is counted, and how."""

    kind: LoadKind
    names: tuple[str, ...]
    connected_amps: Decimal
    demand_amps: Decimal
    formula: str
    numbers: str
    rules: tuple[Rule, ...]


@dataclass(frozen=True)
class Demand:
    """Demand of a house in amps, a line for each kind of load that it has."""

    lines: tuple[DemandLine, ...]

    @property
    def connected_amps(self) -> Decimal:
        """With everything on, before diversity."""
        return sum((line.connected_amps for line in self.lines), Decimal(0))

    @property
    def amps(self) -> Decimal:
        """After diversity."""
        return sum((line.demand_amps for line in self.lines), Decimal(0))


def amps_of(watts: Decimal) -> Decimal:
    """P ÷ U."""
    return watts / value("U0")


def load_of(name: str, kind: LoadKind, watts: Decimal, *, has_socket: bool = False) -> Load:
    """A load told in watts, as amps at 230 V. ValueError below 0 W."""
    return Load(name, kind, amps_of(watts), has_socket)


def design_current(load: Load) -> DemandLine:
    """Ib of the load's own circuit: in full, but a cooker after its diversity and lighting as connected."""
    if load.kind == LoadKind.COOKER:
        return _line(load.kind, [load])
    words = f"Ib = {plain(load.connected_amps)} A"
    return DemandLine(load.kind, (load.name,), load.connected_amps, load.connected_amps, "Ib = P ÷ U", words, (rule("U0"),))


def add_up(loads: Iterable[Load]) -> Demand:
    """Demand of a house, a line for each kind of load, in the order of the kinds."""
    by_kind: dict[LoadKind, list[Load]] = defaultdict(list)
    for load in loads:
        by_kind[load.kind].append(load)
    return Demand(tuple(_line(kind, by_kind[kind]) for kind in LoadKind if by_kind[kind]))


def check_demand(demand: Demand, fuse_amps: Decimal) -> Check:
    """Against the network operator's fuse."""
    fits = demand.amps <= fuse_amps
    parts = " + ".join(plain(line.demand_amps) for line in demand.lines) or "0"
    return Check(
        "demand", "Greatest demand within the supply", Outcome.PASS if fits else Outcome.FAIL,
        formula="sum after diversity ≤ supply fuse", numbers=f"{parts} = {plain(demand.amps)} A",
        result=demand.amps, limit=fuse_amps, unit="A", limit_words=f"at most {plain(fuse_amps)} A",
        rules=tuple(dict.fromkeys(row for line in demand.lines for row in line.rules)),
        advice="" if fits else "More than the supply: tell the designer, and ask the network operator before anything is fitted.",
    )


def _line(kind: LoadKind, loads: list[Load]) -> DemandLine:
    amps, formula, numbers, codes = _WAYS[kind](loads)
    connected = sum((load.connected_amps for load in loads), Decimal(0))
    names = tuple(load.name for load in loads)
    return DemandLine(kind, names, connected, amps, formula, f"{numbers} = {plain(amps)} A", tuple(map(rule, codes)))


Counted = tuple[Decimal, str, str, tuple[str, ...]]


def _total(loads: list[Load]) -> Decimal:
    return sum((load.connected_amps for load in loads), Decimal(0))


def _lighting(loads: list[Load]) -> Counted:
    share = value("DIV-LIGHTING")
    return _total(loads) * share / 100, f"{plain(share)} %", f"{plain(_total(loads))} × {plain(share / 100)}", ("DIV-LIGHTING",)


def _power(loads: list[Load]) -> Counted:
    return _first_then(_total(loads), "DIV-POWER-FULL", "DIV-POWER-REST")


def _cooker(loads: list[Load]) -> Counted:
    """Each cooker by itself."""
    counted = [_one_cooker(load) for load in loads]
    numbers = " + ".join(words for _, words in counted)
    formula = "first 10 A + 30 % of the rest + 5 A for a socket"
    return sum((amps for amps, _ in counted), Decimal(0)), formula, numbers, (
        "DIV-COOKER-FULL", "DIV-COOKER-REST", "DIV-COOKER-SOCKET"
    )


def _one_cooker(load: Load) -> tuple[Decimal, str]:
    amps, _, words, _ = _first_then(load.connected_amps, "DIV-COOKER-FULL", "DIV-COOKER-REST")
    if not load.has_socket:
        return amps, words
    extra = value("DIV-COOKER-SOCKET")
    return amps + extra, f"{words} + {plain(extra)}"


def _first_then(amps: Decimal, full_code: str, rest_code: str) -> Counted:
    full, share = value(full_code), value(rest_code)
    first, rest = min(amps, full), max(amps - full, Decimal(0))
    words = f"{plain(first)} + {plain(share / 100)} × {plain(rest)}"
    return first + rest * share / 100, f"first {plain(full)} A + {plain(share)} % of the rest", words, (full_code, rest_code)


def _shower(loads: list[Load]) -> Counted:
    return _largest_then(loads, int(value("DIV-SHOWER-FULL")), "DIV-SHOWER-REST", ("DIV-SHOWER-FULL", "DIV-SHOWER-REST"))


def _sockets(loads: list[Load]) -> Counted:
    return _largest_then(loads, 1, "DIV-CIRCUIT-REST", ("DIV-CIRCUIT-REST",))


def _largest_then(loads: list[Load], full: int, rest_code: str, codes: tuple[str, ...]) -> Counted:
    largest = sorted((load.connected_amps for load in loads), reverse=True)
    first, rest, share = sum(largest[:full], Decimal(0)), sum(largest[full:], Decimal(0)), value(rest_code)
    words = f"{plain(first)} + {plain(share / 100)} × {plain(rest)}"
    return first + rest * share / 100, f"{full} largest in full + {plain(share)} % of the others", words, codes


def _in_full(code: str) -> Callable[[list[Load]], Counted]:
    return lambda loads: (_total(loads), "in full", plain(_total(loads)), (code,))


_WAYS: dict[LoadKind, Callable[[list[Load]], Counted]] = {
    LoadKind.LIGHTING: _lighting,
    LoadKind.POWER: _power,
    LoadKind.COOKER: _cooker,
    LoadKind.SHOWER: _shower,
    LoadKind.WATER: _in_full("DIV-FULL"),
    LoadKind.STORAGE: _in_full("DIV-FULL"),
    LoadKind.SOCKETS: _sockets,
    LoadKind.CHARGER: _in_full("DIV-CHARGER"),
}

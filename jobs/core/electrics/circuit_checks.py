"""A whole circuit judged, the smallest standard cable that passes, the longest it may be, and what would be if.

The worst part of the route governs the cable's capacity and temperature. Results assist a competent person.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from jobs.core.electrics.cables import CABLES, Cable, Method
from jobs.core.electrics.capacity import check_capacity
from jobs.core.electrics.checks import Check, Outcome
from jobs.core.electrics.circuit import Circuit, Device, Supply
from jobs.core.electrics.fault_loop import check_fault_loop, hot, line_and_cpc_ohms, zs_limit_ohms
from jobs.core.electrics.protection import check_make_up, check_rcd
from jobs.core.electrics.voltage_drop import check_voltage_drop, correction_of, drop_limit_volts, drop_volts, loads_of

CABLE_CHECKS = ("capacity", "drop", "zs", "disconnection", "cpc", "ring-live")
"""What a larger cable can put right."""


@dataclass(frozen=True)
class Tried:
    """A size, and the names of the checks it does not pass."""

    cable: Cable
    failed: tuple[str, ...]


@dataclass(frozen=True)
class Suggestion:
    """The smallest standard cable that passes, None where none does; `drivers` are what rules out the next smaller one."""

    cable: Cable | None
    drivers: tuple[str, ...]
    tried: tuple[Tried, ...]

    @property
    def words(self) -> str:
        """The answer as a sentence; without a size and without drivers something is still missing."""
        if self.cable is None:
            return f"No listed size passes: {', '.join(self.drivers)}." if self.drivers else "Cannot be said yet."
        if not self.drivers:
            return f"{self.cable.name}: the smallest listed size passes."
        return f"{self.cable.name}: the next smaller fails on {', '.join(self.drivers)}."


@dataclass(frozen=True)
class LongestRun:
    """Metres a circuit may have (a ring: its loop); None where that side cannot be said."""

    by_drop_metres: Decimal | None
    by_zs_metres: Decimal | None

    @property
    def metres(self) -> Decimal | None:
        """The shorter of the two; None where neither can be said."""
        return min((length for length in (self.by_drop_metres, self.by_zs_metres) if length is not None), default=None)


def judge_circuit(circuit: Circuit, supply: Supply) -> list[Check]:
    """Every check that applies, in the order an electrician goes through them."""
    return [
        *check_capacity(circuit),
        check_voltage_drop(circuit),
        *check_fault_loop(circuit, supply),
        *check_rcd(circuit),
        *check_make_up(circuit),
    ]


def suggest_cable(circuit: Circuit, supply: Supply) -> Suggestion:
    """Tries every listed size, smallest first, with route, load and device as they are."""
    tried = []
    for cable in CABLES:
        failed = _failed(judge_circuit(replace(circuit, cable=cable), supply))
        if failed is None:
            return Suggestion(None, (), ())
        if not failed:
            return Suggestion(cable, tried[-1].failed if tried else (), tuple(tried))
        tried.append(Tried(cable, failed))
    return Suggestion(None, tried[-1].failed, tuple(tried))


def _failed(checks: Iterable[Check]) -> tuple[str, ...] | None:
    """Names of what a larger cable could put right; None when something about the cable cannot be judged."""
    about_cable = [check for check in checks if check.code in CABLE_CHECKS]
    if any(check.outcome == Outcome.UNKNOWN for check in about_cable):
        return None
    return tuple(check.name for check in about_cable if check.outcome == Outcome.FAIL)


def longest_run(circuit: Circuit, supply: Supply) -> LongestRun:
    """How long this circuit may be as it lies, by voltage drop and by Zs."""
    return LongestRun(_longest_by_drop(circuit), _longest_by_zs(circuit, supply))


def _longest_by_drop(circuit: Circuit) -> Decimal | None:
    part, loads = circuit.governing_part, loads_of(circuit)
    if part is None or not loads or not loads[0]:
        return None
    correction = correction_of(circuit, part)
    per_metre = drop_volts(circuit.cable, Decimal(1), loads[0], is_ring=circuit.is_ring, correction=correction)
    return drop_limit_volts(circuit.kind) / per_metre


def _longest_by_zs(circuit: Circuit, supply: Supply) -> Decimal | None:
    if circuit.cable is None or circuit.device is None:
        return None
    spur = hot(line_and_cpc_ohms(circuit.cable, circuit.longest_spur_metres))
    room = zs_limit_ohms(circuit.device, supply) - supply.ze_ohms - spur
    return max(room, Decimal(0)) / hot(line_and_cpc_ohms(circuit.cable, Decimal(1), is_ring=circuit.is_ring))


def what_if(
    circuit: Circuit,
    *,
    method: Method | None = None,
    metres: Decimal | None = None,
    device: Device | None = None,
    cable: Cable | None = None,
    grouped: int | None = None,
) -> Circuit:
    """The circuit with something else assumed everywhere; another length stretches every part alike.

    ValueError for what cannot be, or a length for a route that has none.
    """
    parts = _stretched(circuit, metres) if metres is not None else circuit.parts
    changes = {name: given for name, given in (("method", method), ("grouped", grouped)) if given is not None}
    parts = tuple(replace(part, **changes) for part in parts)
    return replace(circuit, parts=parts, device=device or circuit.device, cable=cable or circuit.cable)


def _stretched(circuit: Circuit, metres: Decimal) -> tuple:
    if not circuit.metres:
        raise ValueError("The route has no length yet: say how it lies first.")
    return tuple(replace(part, metres=part.metres * metres / circuit.metres) for part in circuit.parts)

"""Volts lost from the board to the far end, by the table and at the temperature the conductor really has.

A ring is judged with its design load at the far end of the loop: a quarter of the loop's length counts. The share of the
drop before the board is not included.
"""

from decimal import Decimal

from jobs.core.electrics.cables import Cable, drop_rule
from jobs.core.electrics.checks import Check, at_most, unknown
from jobs.core.electrics.circuit import Circuit, Part
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.electrics.rules import Rule
from jobs.core.figures import plain
from jobs.core.stages import CircuitKind

RING_SHARE = 4
"""A load at the middle of a ring sees two halves of the loop in parallel: a quarter of its whole resistance."""


def drop_volts(
    cable: Cable, metres: Decimal, amps: Decimal, *, is_ring: bool = False, correction: Decimal = Decimal(1)
) -> Decimal:
    """mV/A/m × length × current × Ct ÷ 1000; a ring's `metres` are its loop."""
    return cable.millivolts * metres * amps * correction / 1000 / (RING_SHARE if is_ring else 1)


def temperature_correction(carried_amps: Decimal, tabulated_amps: Decimal, factor: Decimal = Decimal(1)) -> Decimal:
    """Ct = (230 + tp − ((Ca × Cg)² − (Ib ÷ It)²)(tp − 30)) ÷ (230 + tp), with tp = 70 °C; `factor` is Ca × Cg."""
    hottest = value("TP")
    load = carried_amps / tabulated_amps
    rise = (factor * factor - load * load) * (hottest - value("T-REFERENCE"))
    return (230 + hottest - rise) / (230 + hottest)


def drop_limit_volts(kind: CircuitKind) -> Decimal:
    """Greatest drop from origin to load: 3 % of U0 for lighting, 5 % for other uses (Appendix 4, 6.4)."""
    return value("U0") * value(_limit_code(kind)) / 100


def loads_of(circuit: Circuit) -> tuple[Decimal, Decimal] | None:
    """Current at the far end, and in the cable itself; a ring's cable carries half. None where no load is known."""
    if circuit.is_ring:
        return value("RING-LOAD"), value("RING-LEG")
    amps = circuit.design_amps
    if amps is None:
        return None
    if circuit.is_socket_circuit and circuit.device and circuit.device.rating_amps == value("RING-IN"):
        amps = min(amps, value("RING-LOAD"))
    return amps, amps


def correction_of(circuit: Circuit, part: Part) -> Decimal:
    """Ct of a circuit's cable in one part; the rating of a ring is the 20 A its leg must at least carry."""
    _, carried = loads_of(circuit)
    tabulated = part.tabulated_amps(circuit.cable)
    return temperature_correction(carried, min(tabulated, value("RING-IZ")) if circuit.is_ring else tabulated, part.factor)


def check_voltage_drop(circuit: Circuit) -> Check:
    """Volts lost from board to far end against the limit; unknown where cable, route or load are missing."""
    name = "Voltage drop"
    rows = (rule(_limit_code(circuit.kind)), rule("U0"), rule("VD-CT"))
    part, loads = circuit.governing_part, loads_of(circuit)
    if part is None or loads is None or circuit.metres == 0:
        return unknown("drop", name, "Needs a listed cable, its length, how it lies and its design current.", *rows)
    correction = correction_of(circuit, part)
    by_table = drop_volts(circuit.cable, circuit.metres, loads[0], is_ring=circuit.is_ring)
    limit = drop_limit_volts(circuit.kind)
    return at_most(
        "drop", name, by_table * correction, limit, "V", formula=_formula(circuit), numbers=_words(circuit, loads[0], correction),
        rules=(*rows, drop_rule(circuit.cable), *_load_rules(circuit)), advice=_advice(by_table, correction, limit),
    )


def _limit_code(kind: CircuitKind) -> str:
    return "VD-LIGHTING" if kind == CircuitKind.LIGHTING else "VD-OTHER"


def _formula(circuit: Circuit) -> str:
    return "mV/A/m × L × Ib × Ct ÷ 1000" + (" ÷ 4" if circuit.is_ring else "")


def _words(circuit: Circuit, amps: Decimal, correction: Decimal) -> str:
    quarter = " ÷ 4" if circuit.is_ring else ""
    volts = drop_volts(circuit.cable, circuit.metres, amps, is_ring=circuit.is_ring, correction=correction)
    return (
        f"{plain(circuit.cable.millivolts)} × {plain(circuit.metres)} × {plain(amps)} × {plain(correction)} ÷ 1000{quarter} = "
        f"{plain(volts)} V, {plain(volts * 100 / value('U0'), 2)} %"
    )


def _load_rules(circuit: Circuit) -> tuple[Rule, ...]:
    if circuit.is_ring:
        return rule("RING-LOAD"), rule("RING-LEG")
    return (rule("RING-LOAD"),) if loads_of(circuit)[0] != circuit.design_amps else ()


def _advice(by_table: Decimal, correction: Decimal, limit: Decimal) -> str:
    if by_table * correction > limit:
        return "A shorter route, a larger cable or less load."
    if by_table > limit:
        return f"Within the limit only by the conductor's temperature: the table alone gives {plain(by_table)} V."
    return ""



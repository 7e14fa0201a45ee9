"""Whether a cable carries its load: design current ≤ device ≤ capacity as installed; a ring's cable by its own rule."""

from decimal import Decimal

from jobs.core.electrics.cables import CABLES, Cable
from jobs.core.electrics.checks import Check, at_least, at_most, unknown
from jobs.core.electrics.circuit import Circuit, Part
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.figures import plain

NO_CABLE = "Only flat twin and earth of the listed sizes is judged here; of other cable, armoured too, its designer shows it."
NO_ROUTE = "How the cable lies is not said."


def needed_rating(device_amps: Decimal, part: Part) -> Decimal:
    """Rating the table must give, in amps: In ÷ (Ca × Cg)."""
    return device_amps / part.factor


def smallest_by_rating(needed_amps: Decimal, part: Part) -> Cable | None:
    """Smallest listed cable whose rating, as this part lies, reaches what is needed; None where none does."""
    return next((cable for cable in CABLES if part.tabulated_amps(cable) >= needed_amps), None)


def counts_in_group(load_amps: Decimal, cable: Cable, part: Part) -> bool:
    """Whether a cable warms the others beside it: not when it carries at most 30 % of its own grouped rating."""
    return load_amps * 100 > value("IGNORE-LIGHT-LOAD") * part.capacity_amps(cable)


def check_capacity(circuit: Circuit) -> list[Check]:
    """Load against device, device against cable."""
    return [_load_within_device(circuit), _device_within_cable(circuit)]


def _load_within_device(circuit: Circuit) -> Check:
    code, name, row = "load", "Load within the device (Ib ≤ In)", rule("COORDINATION")
    if circuit.design_amps is None or circuit.device is None:
        return unknown(code, name, "Needs the design current and the device's rating.", row)
    advice = "" if circuit.design_amps <= circuit.device.rating_amps else "A larger device, or less load on this circuit."
    return at_most(
        code, name, circuit.design_amps, circuit.device.rating_amps, "A", formula="Ib ≤ In",
        numbers=f"{plain(circuit.design_amps)} A ≤ {plain(circuit.device.rating_amps)} A", rules=(row,), advice=advice,
    )


def _device_within_cable(circuit: Circuit) -> Check:
    code, name = "capacity", "Device within the cable (In ≤ Iz)"
    part = circuit.governing_part
    if circuit.cable is None or part is None or circuit.device is None:
        missing = NO_CABLE if circuit.cable is None else NO_ROUTE if part is None else "The device's rating is not said."
        return unknown(code, name, missing, rule("COORDINATION"))
    is_ring = circuit.is_ring
    least = value("RING-IZ") if is_ring else circuit.device.rating_amps
    row = rule("RING-IZ" if is_ring else "COORDINATION")
    return at_least(
        code, "Ring's cable carries its share (Iz ≥ 20 A)" if is_ring else name, part.capacity_amps(circuit.cable), least, "A",
        formula="Iz = It × Ci × Ca × Cg", numbers=_capacity_words(part, circuit.cable),
        rules=(row, *part.rating_rules(circuit.cable)), advice=_capacity_advice(circuit, part, least),
    )


def _capacity_words(part: Part, cable: Cable) -> str:
    ambient, grouping = part.factor_rules()
    rate, lowered = part.rate_and_insulation(cable)
    return (
        f"{plain(rate)} × {plain(lowered)} × {plain(ambient.value)} × {plain(grouping.value)} = "
        f"{plain(part.capacity_amps(cable))} A, where it lies worst ({part.method.label})"
    )


def _capacity_advice(circuit: Circuit, part: Part, least: Decimal) -> str:
    if part.capacity_amps(circuit.cable) >= least:
        return ""
    return f"The table must give {plain(needed_rating(least, part))} A here: a larger cable, another way to lie, less grouping."

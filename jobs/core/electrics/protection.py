"""What protects people and how circuits are made up: RCDs, rings, radials by floor area, bonding."""

from collections.abc import Iterator
from decimal import Decimal

from jobs.core.electrics.checks import Check, Outcome, at_least, at_most, unknown
from jobs.core.electrics.circuit import Circuit, RcdType
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.electrics.rules import Rule
from jobs.core.figures import plain
from jobs.core.stages import CircuitKind, Worded


class Bond(Worded):
    """A conductor of the earthing and bonding, each with its own least size in mm²."""

    MAIN = "main", "Main bonding"
    EARTHING = "earthing", "Earthing conductor"
    SUPPLEMENTARY = "supplementary", "Supplementary bonding"


_BOND_RULES = {Bond.MAIN: "BOND-MAIN", Bond.EARTHING: "EARTH-MAIN", Bond.SUPPLEMENTARY: "BOND-SUPPLEMENTARY"}
_AREA_RULES = {Decimal(20): ("AREA-20", "AREA-20-OLD"), Decimal(32): ("AREA-32", "AREA-32-OLD")}


def rcd_reasons(circuit: Circuit) -> list[Rule]:
    """Every row that asks for an RCD of at most 30 mA on this circuit."""
    reasons = (
        ("RCD-SOCKETS", circuit.is_socket_circuit),
        ("RCD-LIGHTING", circuit.kind == CircuitKind.LIGHTING),
        ("RCD-BATHROOM", circuit.is_in_bathroom),
        ("RCD-CONCEALED", circuit.is_shallow),
    )
    return [rule(code) for code, applies in reasons if applies]


def check_rcd(circuit: Circuit) -> list[Check]:
    """Whether there is the RCD it needs, and of a type that fits."""
    reasons = rcd_reasons(circuit)
    if circuit.device is None:
        return [unknown("rcd", "RCD", "The device is not said.", *reasons)]
    return [_rcd_current(circuit, reasons), *_rcd_type(circuit)]


def _rcd_current(circuit: Circuit, reasons: list[Rule]) -> Check:
    given, name = circuit.device.rcd_milliamps, "RCD of at most 30 mA"
    if not reasons:
        return Check("rcd", name, Outcome.PASS, advice="None of the usual reasons for an RCD applies; the designer decides.")
    why = "; ".join(reason.text.partition(":")[0] for reason in reasons)
    if given is None:
        return Check("rcd", name, Outcome.FAIL, formula="I∆n ≤ 30 mA", numbers="no RCD", rules=tuple(reasons), advice=f"{why}.")
    return at_most("rcd", name, Decimal(given), reasons[0].value, "mA", formula="I∆n ≤ 30 mA", rules=tuple(reasons), numbers=why)


def _rcd_type(circuit: Circuit) -> Iterator[Check]:
    kind, name, row = circuit.device.rcd_type, "Type of RCD", rule("RCD-TYPE")
    if circuit.device.rcd_milliamps is None:
        return
    if kind is None:
        yield unknown("rcd-type", name, "The type is not said.", row)
    elif kind == RcdType.AC:
        yield Check("rcd-type", name, Outcome.LOOK, numbers=kind.label, rules=(row,), advice=f"{row.text}.")
    else:
        yield Check("rcd-type", name, Outcome.PASS, numbers=kind.label, rules=(row,))


def check_make_up(circuit: Circuit) -> list[Check]:
    """Rules of a ring; floor areas of a socket radial, by the older and by the later table."""
    if circuit.is_ring:
        return list(_ring_checks(circuit))
    return list(_radial_areas(circuit))


def _ring_checks(circuit: Circuit) -> Iterator[Check]:
    yield _ring_device(circuit)
    if circuit.cable:
        yield at_least(
            "ring-live", "Ring's live conductor", circuit.cable.live_mm2, value("RING-LIVE"), "mm²", rules=(rule("RING-LIVE"),),
            formula="live ≥ 2.5 mm²", numbers=circuit.cable.name,
        )
    yield _area("ring-area", "Floor area of the ring", circuit, rule("RING-AREA"))
    yield at_most(
        "ring-spurs", "Unfused spurs", Decimal(circuit.spurs), Decimal(circuit.points), "spurs",
        formula="unfused spurs ≤ points on the ring", numbers=f"{circuit.spurs} ≤ {circuit.points}",
        rules=(rule("RING-SPURS"), rule("SPUR-FEEDS")),
        advice="" if circuit.spurs <= circuit.points else "Take spurs into the ring, or feed them through a fused unit.",
    )


def _ring_device(circuit: Circuit) -> Check:
    name, rows = "Ring's device", (rule("RING-IN"), rule("RING-IN-30"))
    if circuit.device is None:
        return unknown("ring-device", name, "The device is not said.", *rows)
    return at_most(
        "ring-device", name, circuit.device.rating_amps, value("RING-IN"), "A", formula="In is 30 or 32 A",
        numbers=circuit.device.name, rules=rows,
    )


def _radial_areas(circuit: Circuit) -> Iterator[Check]:
    if not circuit.is_socket_circuit or circuit.device is None:
        return
    for code in _AREA_RULES.get(circuit.device.rating_amps, ()):
        yield _area(code.lower(), rule(code).text, circuit, rule(code))


def _area(code: str, name: str, circuit: Circuit, row: Rule) -> Check:
    """A guide, not a limit: beyond it the load decides."""
    if circuit.floor_area_m2 is None:
        return unknown(code, name, "The floor area it serves is not said.", row)
    fits = circuit.floor_area_m2 <= row.value
    return Check(
        code, name, Outcome.PASS if fits else Outcome.LOOK, "floor area ≤ guide",
        f"{plain(circuit.floor_area_m2)} m² ≤ {plain(row.value)} m²", circuit.floor_area_m2, row.value, "m²",
        f"at most {plain(row.value)} m²", (row,),
        "" if fits else "A guide by floor area: one more circuit, or the designer shows that the load fits.",
    )


def check_bond(kind: Bond, size_mm2: Decimal) -> Check:
    """A bonding or earthing conductor against its smallest usual size. Larger neutrals and TT supplies are not covered."""
    row = rule(_BOND_RULES[kind])
    code, words = f"bond-{kind}", {"formula": "size ≥ least", "numbers": row.text, "rules": (row,)}
    return at_least(code, kind.label, size_mm2, row.value, "mm²", **words)

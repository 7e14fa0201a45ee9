"""The path of an earth fault: its resistance, its greatest allowed Zs, the current it lets flow, the time to disconnect.

Ohms; resistances at 20 °C unless said hot, which is 70 °C. A ring's greatest R1 + R2 is a quarter of its two loops.
"""

from decimal import ROUND_DOWN, Decimal

from jobs.core.electrics.cables import Cable, resistance_rule
from jobs.core.electrics.checks import Check, Outcome, at_least, at_most, unknown
from jobs.core.electrics.circuit import Circuit, Device, Earthing, Supply
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.electrics.rules import Rule
from jobs.core.electrics.voltage_drop import RING_SHARE
from jobs.core.figures import plain

_CENT = Decimal("0.01")
_NAMES = {"zs": "Earth fault loop (Zs)", "disconnection": "Disconnection time", "cpc": "Protective conductor, heating"}
_TOO_HIGH = "A shorter route, a larger cable or another device; an RCD only if the designer decides so."
_NEEDS = "Needs a listed cable, its length and a device."


def line_and_cpc_ohms(cable: Cable, metres: Decimal, *, is_ring: bool = False) -> Decimal:
    """R1 + R2 at 20 °C; a ring's `metres` are its loop."""
    return (cable.r1 + cable.r2) * metres / 1000 / (RING_SHARE if is_ring else 1)


def far_end_ohms(circuit: Circuit) -> Decimal:
    """Greatest R1 + R2 of the circuit at 20 °C: the far end, or the end of a ring's longest unfused spur at its middle."""
    along = line_and_cpc_ohms(circuit.cable, circuit.metres, is_ring=circuit.is_ring)
    return along + line_and_cpc_ohms(circuit.cable, circuit.longest_spur_metres)


def hot(ohms: Decimal) -> Decimal:
    """From 20 °C to 70 °C."""
    return ohms * value("R-70")


def is_by_rcd(device: Device, supply: Supply | None) -> bool:
    """On a TT supply the RCD's current sets the limit of Zs, not the breaker."""
    return bool(supply and supply.earthing == Earthing.TT and device.rcd_milliamps)


def zs_limit_ohms(device: Device, supply: Supply | None = None) -> Decimal:
    """Greatest Zs at 70 °C: U0 × Cmin ÷ Ia; on a TT supply behind an RCD 50 V ÷ I∆n."""
    if is_by_rcd(device, supply):
        return value("TT-TOUCH") * 1000 / device.rcd_milliamps
    return value("U0") * value("CMIN") / device.trip_amps


def cold_limit_ohms(device: Device, supply: Supply | None = None) -> Decimal:
    """What a reading taken cold must not exceed: 0.8 of the limit; the limit itself where an RCD sets it."""
    return zs_limit_ohms(device, supply) * (1 if is_by_rcd(device, supply) else value("COLD"))


def printed(ohms: Decimal) -> Decimal:
    """To two places and never upwards, as a limit is written down."""
    return ohms.quantize(_CENT, ROUND_DOWN)


def design_zs_ohms(circuit: Circuit, supply: Supply) -> Decimal:
    """Ze + R1 + R2 at 70 °C, at the far end."""
    return supply.ze_ohms + hot(far_end_ohms(circuit))


def zs_limit_rules(device: Device, supply: Supply | None = None) -> tuple[Rule, ...]:
    """The rows that the limit of Zs stands on: of the breaker, or of TT where an RCD sets it."""
    if is_by_rcd(device, supply):
        return rule("TT-TOUCH"), rule("TT-STABLE")
    return rule("U0"), rule("CMIN"), rule(f"TRIP-{device.curve}")


def check_fault_loop(circuit: Circuit, supply: Supply) -> list[Check]:
    """Zs, the time to disconnect, and whether the protective conductor stands the heat."""
    if circuit.cable is None or circuit.device is None or circuit.metres == 0:
        return [unknown(code, name, _NEEDS) for code, name in _NAMES.items()]
    return [_zs(circuit, supply), _disconnection(circuit, supply), _cpc(circuit)]


def _zs(circuit: Circuit, supply: Supply) -> Check:
    device, cable = circuit.device, circuit.cable
    result, limit = design_zs_ohms(circuit, supply), zs_limit_ohms(device, supply)
    cold = far_end_ohms(circuit)
    rows = (*zs_limit_rules(device, supply), rule("R-70"), resistance_rule(cable.live_mm2), resistance_rule(cable.cpc_mm2))
    return at_most(
        "zs", "Earth fault loop (Zs), conductors at 70 °C", result, limit, "Ω",
        formula="Zs = Ze + 1.20 × (R1 + R2)" + _ring_words(circuit),
        numbers=f"{plain(supply.ze_ohms)} + {plain(value('R-70'))} × {plain(cold, 4)} = {plain(result, 4)} Ω",
        rules=tuple(dict.fromkeys(rows)),
        advice="" if result <= limit else _TOO_HIGH,
    )


def _ring_words(circuit: Circuit) -> str:
    if not circuit.is_ring:
        return ""
    return ", R1 + R2 = (r1 + r2) ÷ 4" + (" + longest spur" if circuit.longest_spur_metres else "")


def _disconnection(circuit: Circuit, supply: Supply) -> Check:
    device, zs = circuit.device, design_zs_ohms(circuit, supply)
    if supply.earthing == Earthing.TT:
        return _by_rcd(circuit)
    scope = _scope(circuit)
    time = rule("TIME-FINAL" if device.rating_amps <= scope.value else "TIME-OTHER")
    amps = value("U0") * value("CMIN") / zs
    return at_least(
        "disconnection", f"Fault current disconnects within {plain(time.value)} s", amps, device.trip_amps, "A",
        formula="If = U0 × Cmin ÷ Zs ≥ Ia", rules=(time, scope, *zs_limit_rules(device)),
        numbers=f"{plain(value('U0'))} × {plain(value('CMIN'))} ÷ {plain(zs, 4)} = {plain(amps, 1)} A",
        advice="" if amps >= device.trip_amps else "It may not trip at once: lower Zs, or the designer decides on an RCD.",
    )


def _scope(circuit: Circuit) -> Rule:
    """Up to which rating a final circuit has the short disconnection time."""
    return rule("FINAL-SOCKETS" if circuit.is_socket_circuit else "FINAL-FIXED")


def _by_rcd(circuit: Circuit) -> Check:
    """On TT the RCD disconnects; a dead fault lets through several times its rated residual current."""
    code, name = "disconnection", "Disconnection by RCD (TT)"
    device = circuit.device
    limit = rule("TIME-TT" if device.rating_amps <= _scope(circuit).value else "TIME-TT-OTHER")
    if not device.rcd_milliamps:
        return Check(code, name, Outcome.FAIL, rules=(limit,), advice="On TT an earth fault needs an RCD to disconnect it.")
    if device.is_time_delayed:
        return unknown(code, name, "Behind a time-delayed RCD the designer shows the time.", limit, rule("RCD-S-MOST"))
    row = rule("RCD-TIME-5")
    return at_most(
        code, name, row.value / 1000, limit.value, "s", formula="time of the RCD at 5 × I∆n ≤ disconnection time",
        numbers=f"{plain(row.value)} ms by its standard", rules=(row, limit),
    )


def _cpc(circuit: Circuit) -> Check:
    """By the smallest current that trips the breaker at once, for the longest time it then takes."""
    amps, seconds, k = circuit.device.trip_amps, value("TRIP-TIME"), value("K-CPC")
    least = (amps * amps * seconds).sqrt() / k
    return at_least(
        "cpc", "Protective conductor, heating", circuit.cable.cpc_mm2, least, "mm²", formula="S ≥ √(I² × t) ÷ k",
        numbers=f"√({plain(amps)}² × {plain(seconds)}) ÷ {plain(k)} = {plain(least)} mm²",
        rules=(rule("K-CPC"), rule("TRIP-TIME"), rule(f"TRIP-{circuit.device.curve}")),
        advice="At higher currents, near the board, the let-through energy in the maker's data decides.",
    )

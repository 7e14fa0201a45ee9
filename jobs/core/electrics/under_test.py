"""What is measured on a circuit, at first fix and at the end, and the limit and expected value beside each field."""

from dataclasses import dataclass
from decimal import Decimal

from jobs.core.electrics.cables import resistance_rule
from jobs.core.electrics.circuit import Circuit, Supply
from jobs.core.electrics.fault_loop import (
    cold_limit_ohms,
    far_end_ohms,
    printed,
    zs_limit_ohms,
    zs_limit_rules,
)
from jobs.core.electrics.readings import Unit
from jobs.core.electrics.ring import RingEnds, expected_ends
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.electrics.rules import Rule
from jobs.core.figures import plain
from jobs.core.stages import CircuitKind, Worded


class Measure(Worded):
    """What is read on a circuit, in the order of testing; its unit stands in UNITS."""

    RING_R1 = "ring_r1", "Ring line, end to end (r1)"
    RING_RN = "ring_rn", "Ring neutral, end to end (rn)"
    RING_R2 = "ring_r2", "Ring cpc, end to end (r2)"
    R1_R2 = "r1_r2", "R1 + R2 at the far end"
    R2 = "r2", "R2 by long lead"
    IR_LIVE = "ir_live", "Insulation, live to live"
    IR_EARTH = "ir_earth", "Insulation, live to earth"
    POLARITY = "polarity", "Polarity"
    ZS = "zs", "Zs at the far end"
    RCD_HALF = "rcd_half", "RCD at half its current"
    RCD_TIME = "rcd_time", "RCD time at its rated current"
    RCD_TIME_5 = "rcd_time_5", "RCD time at five times its current"
    RCD_BUTTON = "rcd_button", "RCD test button"
    FUNCTIONAL = "functional", "Works as it should"
    ALARMS = "alarms", "All alarms sound together"


class WhenTested(Worded):
    """When the circuit is tested."""

    FIRST_FIX = "first_fix", "Dead tests at first fix"
    END = "end", "Tests at the end"


UNITS = {
    **dict.fromkeys((Measure.RING_R1, Measure.RING_RN, Measure.RING_R2, Measure.R1_R2, Measure.R2, Measure.ZS), Unit.OHM),
    **dict.fromkeys((Measure.IR_LIVE, Measure.IR_EARTH), Unit.MEGOHM),
    **dict.fromkeys((Measure.RCD_HALF, Measure.RCD_TIME, Measure.RCD_TIME_5), Unit.MILLISECOND),
    **dict.fromkeys((Measure.POLARITY, Measure.RCD_BUTTON, Measure.FUNCTIONAL, Measure.ALARMS), Unit.WORDS),
}
LIVE_TESTS = frozenset({Measure.ZS, Measure.RCD_HALF, Measure.RCD_TIME, Measure.RCD_TIME_5, Measure.RCD_BUTTON,
                        Measure.FUNCTIONAL, Measure.ALARMS})
"""Only by someone competent to test, never alone."""
OPTIONAL = frozenset({Measure.R2, Measure.RCD_HALF, Measure.RCD_TIME_5})
TEST_VOLTS = (500, 250)


@dataclass(frozen=True)
class UnderTest:
    """A circuit being tested. `test_volts` of the insulation test: 500, or 250 with equipment connected."""

    circuit: Circuit
    supply: Supply
    test_volts: int = 500

    def __post_init__(self) -> None:
        if self.test_volts not in TEST_VOLTS:
            raise ValueError(f"Insulation is tested at 500 or 250 V, not {self.test_volts}.")

    @property
    def ends(self) -> RingEnds | None:
        """Ring loops worked out from the length; None where it is no ring, or cable or length are missing."""
        circuit = self.circuit
        if not circuit.is_ring or circuit.cable is None or not circuit.metres:
            return None
        return expected_ends(circuit.cable, circuit.metres)

    @property
    def line_and_cpc_ohms(self) -> Decimal | None:
        """R1 + R2 by the length, at the far end and 20 °C; None where cable or length are missing."""
        circuit = self.circuit
        if circuit.cable is None or not circuit.metres:
            return None
        return far_end_ohms(circuit)

    def expected_ohms(self, measure: Measure) -> Decimal | None:
        """What the length gives at 20 °C; None where nothing can be said."""
        ends, both = self.ends, None if self.circuit.kind == CircuitKind.BONDING else self.line_and_cpc_ohms
        if ends and measure in (Measure.RING_R1, Measure.RING_RN, Measure.RING_R2):
            return {Measure.RING_R1: ends.r1, Measure.RING_RN: ends.rn, Measure.RING_R2: ends.r2}[measure]
        if both is None:
            return None
        if measure == Measure.R2:
            return both * self.circuit.cable.r2 / (self.circuit.cable.r1 + self.circuit.cable.r2)
        return {Measure.R1_R2: both, Measure.ZS: self.supply.ze_ohms + both}.get(measure)


@dataclass(frozen=True)
class Field:
    """One field of the sheet. `limit_words` stand beside it; `expected_words` come from the length."""

    measure: Measure
    unit: Unit
    is_required: bool
    limit_words: str
    expected_words: str
    rules: tuple[Rule, ...]


def measures_for(tested: UnderTest, time: WhenTested) -> tuple[Measure, ...]:
    """What is measured, in the order of testing; live tests only at the end."""
    has_rcd = bool(tested.circuit.device and tested.circuit.device.rcd_milliamps)
    leaves_out = {
        *((Measure.RING_R1, Measure.RING_RN, Measure.RING_R2) if not tested.circuit.is_ring else ()),
        *((Measure.RCD_HALF, Measure.RCD_TIME, Measure.RCD_TIME_5, Measure.RCD_BUTTON) if not has_rcd else ()),
        *((Measure.ALARMS,) if tested.circuit.kind != CircuitKind.ALARMS else ()),
        *(LIVE_TESTS if time == WhenTested.FIRST_FIX else ()),
    }
    if tested.circuit.kind == CircuitKind.BONDING:
        return (Measure.R2,)
    return tuple(measure for measure in Measure if measure not in leaves_out)


def fields_for(tested: UnderTest, time: WhenTested) -> list[Field]:
    """Every field with its limit, its expected value and the rows these stand on."""
    return [_field(measure, tested) for measure in measures_for(tested, time)]


def is_required(measure: Measure, tested: UnderTest) -> bool:
    """Whether the circuit waits for this reading; of the optional ones only R2 of a bonding conductor."""
    return measure not in OPTIONAL or tested.circuit.kind == CircuitKind.BONDING


def limit_rules(measure: Measure, tested: UnderTest) -> tuple[Rule, ...]:
    """The rows that a measure's limit stands on; none for Zs while the device is missing."""
    if measure == Measure.ZS:
        return (*zs_limit_rules(tested.circuit.device, tested.supply), rule("COLD")) if tested.circuit.device else ()
    if tested.circuit.kind == CircuitKind.BONDING:
        return rule("CONTINUITY"), rule("BOND-READS")
    return tuple(map(rule, _limit_codes(tested)[measure]))


def _field(measure: Measure, tested: UnderTest) -> Field:
    expected = tested.expected_ohms(measure)
    words = f"about {plain(expected, 2)} Ω by its length" if expected is not None else ""
    rules = limit_rules(measure, tested) + (expected_rules(tested.circuit) if words else ())
    return Field(measure, UNITS[measure], is_required(measure, tested), _limit_words(measure, tested), words, rules)


def expected_rules(circuit: Circuit) -> tuple[Rule, ...]:
    """What the expected value of a length stands on."""
    return resistance_rule(circuit.cable.live_mm2), resistance_rule(circuit.cable.cpc_mm2)


def _limit_codes(tested: UnderTest) -> dict[Measure, tuple[str, ...]]:
    delayed = bool(tested.circuit.device and tested.circuit.device.is_time_delayed)
    insulation = (f"IR-{tested.test_volts}", "IR-LOOK")
    return {
        Measure.RING_R1: ("RING-ENDS",), Measure.RING_RN: ("RING-ENDS",), Measure.RING_R2: ("RING-RATIO-LOW", "RING-RATIO-HIGH"),
        Measure.R1_R2: ("CONTINUITY",), Measure.R2: ("CONTINUITY",), Measure.IR_LIVE: insulation, Measure.IR_EARTH: insulation,
        Measure.POLARITY: ("POLARITY",), Measure.RCD_HALF: ("RCD-HALF", "RCD-ONE-TEST"),
        Measure.RCD_TIME: ("RCD-S-LEAST", "RCD-S-MOST") if delayed else ("RCD-TIME", "RCD-ONE-TEST"),
        Measure.RCD_TIME_5: ("RCD-TIME-5", "RCD-ONE-TEST"), Measure.RCD_BUTTON: ("FUNCTIONAL",),
        Measure.FUNCTIONAL: ("FUNCTIONAL",), Measure.ALARMS: ("ALARMS",),
    }


def _limit_words(measure: Measure, tested: UnderTest) -> str:
    device, unit = tested.circuit.device, UNITS[measure]
    if tested.circuit.kind == CircuitKind.BONDING:
        return f"usually at most {value('BOND-READS')} Ω"
    if measure == Measure.ZS and device:
        cold, full = printed(cold_limit_ohms(device, tested.supply)), printed(zs_limit_ohms(device, tested.supply))
        return f"cold at most {cold} Ω; {full} Ω at 70 °C"
    fixed = {
        Measure.RING_RN: f"within {plain(value('RING-ENDS'))} Ω of r1", Measure.RING_R2: "in the ratio of the sizes to r1",
        Measure.R1_R2: "continuous", Measure.R2: "continuous", Measure.RCD_HALF: "no trip; optional",
        Measure.RCD_TIME_5: f"at most {plain(value('RCD-TIME-5'))} ms; older test, optional",
        Measure.POLARITY: "correct at every point", Measure.RCD_BUTTON: "switches off", Measure.FUNCTIONAL: "works",
        Measure.ALARMS: "every alarm sounds", Measure.RING_R1: "continuous",
        Measure.RCD_TIME: (
            f"{plain(value('RCD-S-LEAST'))} to {plain(value('RCD-S-MOST'))} ms" if device and device.is_time_delayed
            else f"at most {plain(value('RCD-TIME'))} ms"
        ),
    }
    if unit == Unit.MEGOHM:
        return f"at least {value(f'IR-{tested.test_volts}')} MΩ at {tested.test_volts} V"
    return fixed.get(measure, "")

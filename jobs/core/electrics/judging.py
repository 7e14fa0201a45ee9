"""What readings say: within the limit or not, like what the length gives or not, and what to look for when out.

Words stay careful: a reading suggests, a competent person finds out. Nothing here certifies anything.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from jobs.core.electrics.checks import Check, Outcome, worst_of
from jobs.core.electrics.fault_loop import cold_limit_ohms, is_by_rcd, zs_limit_ohms
from jobs.core.electrics.readings import Reading, State, Unit, within_least, within_most
from jobs.core.electrics.ring import RingEnds, check_ends
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.electrics.under_test import UNITS, Measure, UnderTest, WhenTested, is_required, limit_rules, measures_for
from jobs.core.figures import plain
from jobs.core.stages import CircuitKind

RING_ENDS = (Measure.RING_R1, Measure.RING_RN, Measure.RING_R2)
CONTINUITY = (*RING_ENDS, Measure.R1_R2, Measure.R2)
LOOK_FOR = {
    Measure.RING_R1: ("Open ring: perhaps a line left out of a terminal, or the two ends are of different circuits.",),
    Measure.RING_RN: ("Open ring: perhaps a neutral left out of a terminal, or borrowed for another circuit.",),
    Measure.RING_R2: ("Open ring: perhaps a cpc left out of a terminal, or not joined in a box.",),
    Measure.R1_R2: ("Perhaps no cpc at this point, a switch left off, or line and cpc not joined at the board.",),
    Measure.R2: ("Perhaps no cpc at this point, or it is not joined in a box on the way.",),
    Measure.IR_LIVE: (
        "Perhaps equipment, a neon or a dimmer still connected, or a cable trapped or nailed.",
        "If only neutrals of two circuits read low to each other, perhaps a borrowed neutral.",
    ),
    Measure.IR_EARTH: ("Perhaps a cable trapped or nailed, damp plaster in a box, or neutral and cpc touching.",),
    Measure.POLARITY: ("Perhaps line and neutral crossed at a point, or a switch in the neutral.",),
    Measure.ZS: ("Perhaps a poor connection, a longer or thinner cable than written, or Ze higher than told.",),
    Measure.RCD_HALF: ("Trips too readily: perhaps leakage of equipment, neutral and cpc touching, or a faulty RCD.",),
    Measure.RCD_TIME: ("Perhaps a neutral borrowed or on the wrong bar, the wrong tester setting, or a faulty RCD.",),
    Measure.RCD_TIME_5: ("Perhaps the wrong tester setting, or a faulty RCD.",),
    Measure.RCD_BUTTON: ("Perhaps no supply at the RCD, or it is faulty: it is not to be relied on.",),
    Measure.FUNCTIONAL: ("Look at the switching, the connections and the equipment itself.",),
    Measure.ALARMS: ("Perhaps the link core is open or crossed, or makes of alarm do not link.",),
}
"""First places to look when a reading is out (common practice, no source)."""
BOND_PLACES = ("Perhaps the conductor is cut, or its clamp does not grip bare metal.",)


@dataclass(frozen=True)
class Judged:
    """A field, what was read, what that says, and where to look when it is out."""

    measure: Measure
    reading: Reading
    checks: tuple[Check, ...]
    is_required: bool = True
    places: tuple[str, ...] = ()

    @property
    def outcome(self) -> Outcome:
        """The worst of its checks."""
        return worst_of(self.checks)

    @property
    def look_for(self) -> tuple[str, ...]:
        """What each check advises; then the first places to look, when the reading itself is out."""
        own = {check.outcome for check in self.checks if check.code in (self.measure, "zs-cold")}
        out = Outcome.FAIL in own or (Outcome.LOOK in own and self.measure not in CONTINUITY)
        advice = tuple(check.advice for check in self.checks if check.advice)
        return tuple(dict.fromkeys((*advice, *(self.places if out else ()))))


def judge_readings(readings: Mapping[Measure, Reading], tested: UnderTest, time: WhenTested) -> list[Judged]:
    """Every measure of the circuit, entered or not, in the order of testing."""
    blank = Reading("", State.BLANK)
    judged = [_judge(measure, readings.get(measure, blank), tested) for measure in measures_for(tested, time)]
    return _with_ring(judged, tested)


def what_holds(judged: Iterable[Judged]) -> list[str]:
    """Why the circuit must not be energised yet, a sentence each; empty when nothing does."""
    holding = [row for row in judged if row.outcome == Outcome.FAIL or (row.is_required and row.outcome == Outcome.UNKNOWN)]
    return [f"{row.measure.label}: {_why(row)}" for row in holding]


def _why(row: Judged) -> str:
    failed = row.outcome == Outcome.FAIL
    return "outside the limit." if failed else row.reading.problem or f"{row.reading.state.label.lower()}."


def _judge(measure: Measure, reading: Reading, tested: UnderTest) -> Judged:
    required = is_required(measure, tested)
    if reading.state in (State.BLANK, State.REFUSED, State.LIMITED, State.NOT_APPLICABLE):
        checks: tuple[Check, ...] = (_without_figure(measure, reading, required),)
    elif UNITS[measure] == Unit.WORDS:
        checks = (_check(measure, tested, Outcome.PASS if reading.state == State.GOOD else Outcome.FAIL, reading),)
    else:
        checks = tuple(_judge_figure(measure, reading, tested))
    is_bond = tested.circuit.kind == CircuitKind.BONDING
    return Judged(measure, reading, checks, required, BOND_PLACES if is_bond else LOOK_FOR[measure])


def _without_figure(measure: Measure, reading: Reading, required: bool) -> Check:
    advice = {
        State.BLANK: "Not entered yet." if required else "",
        State.REFUSED: reading.problem,
        State.LIMITED: "Could not be tested: write why; a competent person decides whether that will do.",
        State.NOT_APPLICABLE: "Usually applies to such a circuit: write why it does not." if required else "",
    }[reading.state]
    fits = not required and reading.state in (State.BLANK, State.NOT_APPLICABLE)
    return Check(measure, measure.label, Outcome.NOT_NEEDED if fits else Outcome.UNKNOWN, advice=advice)


def _judge_figure(measure: Measure, reading: Reading, tested: UnderTest) -> list[Check]:
    if measure == Measure.ZS:
        return [*_zs(reading, tested), *_like_expected(measure, reading, tested)]
    if measure in CONTINUITY:
        return [_continuous(measure, reading, tested), *_like_expected(measure, reading, tested)]
    if UNITS[measure] == Unit.MEGOHM:
        return [_insulation(measure, reading, tested)]
    return [_rcd(measure, reading, tested)]


def _check(
    measure: Measure, tested: UnderTest, outcome: Outcome, reading: Reading, *, limit: Decimal | None = None, words: str = "",
    formula: str = "", advice: str = "",
) -> Check:
    unit = UNITS[measure]
    return Check(
        measure, measure.label, outcome, formula, reading.words(unit), reading.amount, limit, unit.label, words,
        limit_rules(measure, tested), advice,
    )


def _continuous(measure: Measure, reading: Reading, tested: UnderTest) -> Check:
    outcome = Outcome.FAIL if reading.state == State.OVER else Outcome.PASS
    if outcome == Outcome.PASS and tested.circuit.kind == CircuitKind.BONDING:
        limit = value("BOND-READS")
        fits = within_most(reading, limit)
        return _check(measure, tested, Outcome.PASS if fits else Outcome.LOOK, reading, limit=limit, words=f"at most {limit} Ω",
                      advice="" if fits else _POOR_BOND)
    return _check(measure, tested, outcome, reading, words="continuous", formula="a reading, not open circuit")


def _like_expected(measure: Measure, reading: Reading, tested: UnderTest) -> list[Check]:
    """Beside what the length gives; parallel earth paths make Zs lower, so only a higher one is remarked."""
    expected = tested.expected_ohms(measure)
    if expected is None or reading.state != State.VALUE:
        return []
    room = max(expected * value("EXPECTED-SPREAD") / 100, value("EXPECTED-FLOOR"))
    is_like = reading.amount - expected <= room if measure == Measure.ZS else abs(reading.amount - expected) <= room
    way = "higher" if reading.amount > expected else "lower"
    return [Check(
        f"{measure}-expected", "Beside what the length gives", Outcome.PASS if is_like else Outcome.LOOK, "at 20 °C",
        f"{plain(reading.amount)} Ω read, {plain(expected)} Ω by its length", reading.amount, expected, "Ω",
        f"give or take {plain(room)} Ω", (rule("EXPECTED-SPREAD"), rule("EXPECTED-FLOOR")),
        "" if is_like else f"{way.capitalize()} than its length gives: look at the length written, the size and the connections.",
    )]


def _insulation(measure: Measure, reading: Reading, tested: UnderTest) -> Check:
    limit = value(f"IR-{tested.test_volts}")
    outcome, advice = _outcome(within_least(reading, limit)), ""
    if outcome == Outcome.LOOK:
        advice = "The tester's range is too short to say."
    elif outcome == Outcome.PASS and not within_least(reading, value("IR-LOOK")):
        outcome = Outcome.LOOK
        advice = f"Above the limit, but new wiring usually reads more than {plain(value('IR-NEW'))} MΩ."
    words = f"at least {limit} MΩ at {tested.test_volts} V"
    return _check(measure, tested, outcome, reading, limit=limit, words=words, advice=advice)


def _zs(reading: Reading, tested: UnderTest) -> list[Check]:
    device = tested.circuit.device
    if device is None:
        return [Check(Measure.ZS, Measure.ZS.label, Outcome.UNKNOWN, advice="The device is not said, so there is no limit.")]
    full = zs_limit_ohms(device, tested.supply)
    formula, words = "Zs ≤ limit at 70 °C", f"at most {plain(full)} Ω"
    by_limit = _check(
        Measure.ZS, tested, _outcome(within_most(reading, full)), reading, limit=full, words=words, formula=formula
    )
    return [by_limit, _zs_stable(reading, tested) if is_by_rcd(device, tested.supply) else _zs_cold(reading, tested)]


def _zs_cold(reading: Reading, tested: UnderTest) -> Check:
    cold = cold_limit_ohms(tested.circuit.device, tested.supply)
    fits, words = within_most(reading, cold), f"cold at most {plain(cold)} Ω"
    found = _check(
        Measure.ZS, tested, Outcome.PASS if fits else Outcome.LOOK, reading, limit=cold, words=words,
        formula="Zs cold ≤ 0.8 × limit", advice="" if fits else _TOO_WARM,
    )
    return replace(found, code="zs-cold", name="Zs taken cold")


def _zs_stable(reading: Reading, tested: UnderTest) -> Check:
    most = value("TT-STABLE")
    fits, words = within_most(reading, most), f"usually at most {plain(most)} Ω"
    advice = "" if fits else "An electrode this high may not stay stable through the year."
    found = _check(
        Measure.ZS, tested, Outcome.PASS if fits else Outcome.LOOK, reading, limit=most, words=words, advice=advice
    )
    return replace(found, code="zs-stable", name="Stable electrode")


_POOR_BOND = "Higher than usual: allow for its length, and look at the clamp and what it grips."
_TOO_WARM = "Above 0.8 of the limit: with conductors at working temperature it may be over. The designer decides."


def _rcd(measure: Measure, reading: Reading, tested: UnderTest) -> Check:
    if measure == Measure.RCD_HALF:
        fits = reading.state == State.OVER
        return _check(measure, tested, Outcome.PASS if fits else Outcome.FAIL, reading, words="no trip", formula="I∆n ÷ 2")
    if measure == Measure.RCD_TIME and tested.circuit.device.is_time_delayed:
        return _delayed(reading, tested)
    limit = value("RCD-TIME" if measure == Measure.RCD_TIME else "RCD-TIME-5")
    words, fits = f"at most {plain(limit)} ms", within_most(reading, limit)
    return _check(measure, tested, _outcome(fits), reading, limit=limit, words=words)


def _delayed(reading: Reading, tested: UnderTest) -> Check:
    low, high = value("RCD-S-LEAST"), value("RCD-S-MOST")
    waits, trips = within_least(reading, low), within_most(reading, high)
    fits = False if False in (waits, trips) else None if None in (waits, trips) else True
    return _check(Measure.RCD_TIME, tested, _outcome(fits), reading, limit=high, words=f"{plain(low)} to {plain(high)} ms")


def _outcome(fits: bool | None) -> Outcome:
    return Outcome.LOOK if fits is None else Outcome.PASS if fits else Outcome.FAIL


def _with_ring(judged: list[Judged], tested: UnderTest) -> list[Judged]:
    """The ring's own checks beside its neutral (alike) and its protective conductor (ratio), once all three are read."""
    read = {row.measure: row.reading for row in judged}
    found = [read[measure].amount for measure in RING_ENDS if measure in read and read[measure].state == State.VALUE]
    if len(found) < len(RING_ENDS):
        return judged
    checks = {check.code: check for check in check_ends(RingEnds(*found), tested.circuit.cable)}
    beside = {Measure.RING_RN: "ring-ends", Measure.RING_R2: "ring-ratio"}
    more = {measure: checks[code] for measure, code in beside.items() if code in checks}
    return [replace(row, checks=(*row.checks, more[row.measure])) if row.measure in more else row for row in judged]

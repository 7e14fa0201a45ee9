"""A cross-connected ring read at each of its sockets: alike all along, or which one reads otherwise.

Ohms at 20 °C. Line to neutral, then line to protective conductor, the far ends joined crosswise at the board. The highest
reading to the protective conductor is R1 + R2 of the circuit. Words stay careful: a reading suggests, no more.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import median

from jobs.core.electrics.checks import Check, Outcome, worst_of
from jobs.core.electrics.readings import Reading, State, Unit
from jobs.core.electrics.ring import RingEnds, check_cross_cpc, check_cross_live
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.figures import plain
from jobs.core.stages import Worded

MOST_NAMED = 3
FEWEST_TO_COMPARE = 3
"""Of two readings that differ nobody can say which is the odd one."""
MEASURED = (State.VALUE, State.UNDER)


class SocketMeasure(Worded):
    """The two tests of a cross-connected ring, read at every socket in ohms."""

    CROSS_LIVE = "cross_live", "Line to neutral, ends cross-connected"
    CROSS_CPC = "cross_cpc", "Line to cpc, ends cross-connected"


@dataclass(frozen=True)
class SocketRead:
    """What was read at a socket, under the name the page gives it."""

    name: str
    reading: Reading


@dataclass(frozen=True)
class SocketJudged:
    """A socket's reading beside the others of its ring."""

    name: str
    reading: Reading
    outcome: Outcome
    advice: str = ""


@dataclass(frozen=True)
class CrossJudged:
    """One of the two cross-connected tests: each socket, then the ring as a whole. `is_read`: at one socket at least."""

    measure: SocketMeasure
    sockets: tuple[SocketJudged, ...]
    checks: tuple[Check, ...]

    @property
    def is_read(self) -> bool:
        """Something was written at one socket at least."""
        return any(one.reading.state != State.BLANK for one in self.sockets)

    @property
    def outcome(self) -> Outcome:
        """Of what was read; nothing read is not needed."""
        found = {one.outcome for one in self.sockets} - {Outcome.NOT_NEEDED}
        order = (Outcome.FAIL, Outcome.UNKNOWN, Outcome.LOOK)
        if not self.is_read:
            return Outcome.NOT_NEEDED
        return next((one for one in order if one in found | {worst_of(self.checks)}), Outcome.PASS)

    @property
    def unread(self) -> tuple[str, ...]:
        """Names of the sockets where nothing was written."""
        return tuple(one.name for one in self.sockets if one.reading.state == State.BLANK)

    @property
    def holds(self) -> list[str]:
        """Sockets that hold power as any failed dead test does, a sentence each."""
        failed = [one for one in self.sockets if one.outcome == Outcome.FAIL]
        return [f"{self.measure.label}: no continuity at {one.name}." for one in failed]


def expected_ohms(measure: SocketMeasure, ends: RingEnds | None) -> Decimal | None:
    """What every socket should read, near enough; of line to cpc the highest."""
    if ends is None:
        return None
    return ends.cross_live if measure == SocketMeasure.CROSS_LIVE else ends.cross_cpc


def judge_sockets(measure: SocketMeasure, read: Sequence[SocketRead], ends: RingEnds | None) -> CrossJudged:
    """`ends`: the ring's loops, measured or by its length; None where neither is known."""
    found = [one.reading.amount for one in read if one.reading.state in MEASURED]
    middle = median(found) if found else None
    judged = tuple(_judge(one, middle, len(found)) for one in read)
    checks = (_spread(measure, read, ends), *_against_ends(measure, found, ends)) if found else ()
    return CrossJudged(measure, judged, checks)


def highest(read: Iterable[SocketRead]) -> SocketRead | None:
    """The socket that reads highest to the protective conductor: R1 + R2 of its circuit."""
    found = [one for one in read if one.reading.state == State.VALUE]
    return max(found, key=lambda one: one.reading.amount, default=None)


def check_against_highest(written: Reading, name: str, ohms: Decimal) -> Check | None:
    """A written R1 + R2 beside the highest of the sockets; None where nothing was measured."""
    if written.state != State.VALUE:
        return None
    fits = ohms - written.amount <= value("RING-SPREAD")
    return Check(
        "r1_r2-highest", "Beside the highest socket", Outcome.PASS if fits else Outcome.LOOK, "R1 + R2 is the highest of them",
        f"{plain(written.amount)} Ω written, {plain(ohms)} Ω read at {name}", written.amount, ohms, "Ω",
        f"not lower than it by more than {plain(value('RING-SPREAD'))} Ω", (rule("RING-CROSS"), rule("RING-SPREAD")),
        "" if fits else f"{name} reads higher: the highest reading to the cpc is R1 + R2 of the circuit.",
    )


def name_sockets(places: Sequence[tuple[str, str]]) -> list[str]:
    """(room, point) → a name of its own for each, numbered where two would be alike."""
    plain_names = [f"{room}, {point}" for room, point in places]
    seen: dict[str, int] = {}
    names = []
    for name in plain_names:
        seen[name] = seen.get(name, 0) + 1
        names.append(f"{name} {seen[name]}" if plain_names.count(name) > 1 else name)
    return names


def _judge(one: SocketRead, middle: Decimal | None, count: int) -> SocketJudged:
    state = one.reading.state
    if state == State.BLANK:
        return SocketJudged(one.name, one.reading, Outcome.NOT_NEEDED)
    if state == State.OVER:
        return SocketJudged(one.name, one.reading, Outcome.FAIL, _OPEN)
    if state not in MEASURED:
        return SocketJudged(one.name, one.reading, Outcome.UNKNOWN, one.reading.problem or _NOT_READ)
    return _beside_others(one, middle if count >= FEWEST_TO_COMPARE else one.reading.amount)


def _beside_others(one: SocketRead, middle: Decimal) -> SocketJudged:
    apart = one.reading.amount - middle
    if abs(apart) <= value("RING-SPREAD"):
        return SocketJudged(one.name, one.reading, Outcome.PASS)
    return SocketJudged(one.name, one.reading, Outcome.LOOK, _HIGHER if apart > 0 else _LOWER)


def _spread(measure: SocketMeasure, read: Sequence[SocketRead], ends: RingEnds | None) -> Check:
    """Highest less lowest; towards cpc a ring whose conductors differ varies a little by itself."""
    found = [one for one in read if one.reading.state in MEASURED]
    low, high = (pick(found, key=lambda one: one.reading.amount) for pick in (min, max))
    apart = high.reading.amount - low.reading.amount
    own = ends.cross_cpc - ends.lowest_cross_cpc if ends and measure == SocketMeasure.CROSS_CPC else Decimal(0)
    limit = value("RING-SPREAD") + own
    fits = apart <= limit
    return Check(
        f"{measure}-spread", f"Spread, {measure.label[0].lower()}{measure.label[1:]}", Outcome.PASS if fits else Outcome.LOOK,
        "highest − lowest", f"{plain(high.reading.amount)} − {plain(low.reading.amount)} = {plain(apart)} Ω", apart, limit, "Ω",
        f"at most {plain(limit)} Ω", (rule("RING-SPREAD"),), "" if fits else _apart_words(found, low, high),
    )


def _apart_words(found: Sequence[SocketRead], low: SocketRead, high: SocketRead) -> str:
    if len(found) < FEWEST_TO_COMPARE:
        return f"{low.name} and {high.name} differ: read more sockets to see which is the odd one."
    middle = median(one.reading.amount for one in found)
    above = [one.name for one in found if one.reading.amount - middle > value("RING-SPREAD")]
    below = [one.name for one in found if middle - one.reading.amount > value("RING-SPREAD")]
    words = [f"Higher than the others: {_names(above)}."] if above else []
    words += [f"Lower than the others: {_names(below)}."] if below else []
    return " ".join(words) or _CLIMBS


def _names(names: Sequence[str]) -> str:
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return "; ".join(names[:MOST_NAMED]) + more


def _against_ends(measure: SocketMeasure, found: Sequence[Decimal], ends: RingEnds | None) -> tuple[Check, ...]:
    if ends is None:
        return ()
    check = check_cross_live if measure == SocketMeasure.CROSS_LIVE else check_cross_cpc
    return (check(ends, found),)


UNIT = Unit.OHM
_OPEN = "No reading: perhaps a conductor left out at this socket, line and neutral crossed, or a break on the way to it."
_NOT_READ = "Could not be read: write why; a competent person decides whether that will do."
_HIGHER = "Higher than the others: perhaps it hangs on a spur, or a connection here or before it is loose."
_LOWER = "Lower than the others: perhaps a link across the ring, or it was read before the ends were joined crosswise."
_CLIMBS = "They climb along the ring: perhaps the ends of the same leg were joined. Join them crosswise and read again."

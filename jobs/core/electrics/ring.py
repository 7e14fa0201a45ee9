"""Ring final circuits: what end-to-end and cross-connected readings should be, and what they say when they are not.

Ohms at 20 °C; the loop in metres. r1, rn, r2 are the line, neutral and protective conductors end to end.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.electrics.cables import Cable, find_cable
from jobs.core.electrics.checks import Check, Outcome, at_most
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.figures import plain


@dataclass(frozen=True)
class RingEnds:
    """The three loops of a ring, measured or worked out."""

    r1: Decimal
    rn: Decimal
    r2: Decimal

    @property
    def cross_live(self) -> Decimal:
        """Line to neutral at any socket, ends cross-connected: (r1 + rn) ÷ 4."""
        return (self.r1 + self.rn) / 4

    @property
    def cross_cpc(self) -> Decimal:
        """Line to protective conductor, highest along the ring: (r1 + r2) ÷ 4, which is R1 + R2."""
        return (self.r1 + self.r2) / 4

    @property
    def lowest_cross_cpc(self) -> Decimal:
        """The same where the ring begins and ends: r1 and r2 in parallel. 0 when both are."""
        loops = self.r1 + self.r2
        return self.r1 * self.r2 / loops if loops else Decimal(0)


def expected_ends(cable: Cable, loop_metres: Decimal) -> RingEnds:
    """The loops as the length gives them, by the greatest resistances of IEC 60228; rn is as r1."""
    r1, r2 = cable.r1 * loop_metres / 1000, cable.r2 * loop_metres / 1000
    return RingEnds(r1, r1, r2)


def check_ends(ends: RingEnds, cable: Cable | None = None) -> list[Check]:
    """Line and neutral alike; the protective conductor longer by the ratio of its size."""
    return [_alike(ends), *_ratio(ends, cable or find_cable(Decimal("2.5")))]


def _alike(ends: RingEnds) -> Check:
    apart = abs(ends.r1 - ends.rn)
    poor = "One may have a loose or poor connection, or its ends may be of another circuit."
    return at_most(
        "ring-ends", "r1 and rn alike", apart, value("RING-ENDS"), "Ω", formula="|r1 − rn| ≤ 0.05 Ω", rules=(rule("RING-ENDS"),),
        numbers=f"|{plain(ends.r1)} − {plain(ends.rn)}| = {plain(apart)} Ω",
        advice="" if apart <= value("RING-ENDS") else poor,
    )


def _ratio(ends: RingEnds, cable: Cable) -> list[Check]:
    """None where r1 reads 0: nothing can be divided by it."""
    if not ends.r1:
        return []
    ratio = ends.r2 / ends.r1
    usual = cable.r2 / cable.r1
    scale = usual / (find_cable(Decimal("2.5")).r2 / find_cable(Decimal("2.5")).r1)
    low, high = value("RING-RATIO-LOW") * scale, value("RING-RATIO-HIGH") * scale
    fits = low <= ratio <= high
    return [Check(
        "ring-ratio", "r2 against r1", Outcome.PASS if fits else Outcome.LOOK, f"r2 ÷ r1 ≈ {plain(usual)}",
        f"{plain(ends.r2)} ÷ {plain(ends.r1)} = {plain(ratio)}", ratio, usual, "", f"{plain(low, 2)} to {plain(high, 2)}",
        (rule("RING-RATIO-LOW"), rule("RING-RATIO-HIGH")),
        "" if fits else "The sizes may differ from what is written, or a connection of the protective conductor may be poor.",
    )]


def check_cross_live(ends: RingEnds, read_at_sockets: Sequence[Decimal]) -> Check:
    """Line to neutral at every socket; alike all along the ring."""
    return _cross("cross-live", "Cross-connected, line to neutral", ends.cross_live, ends.cross_live, read_at_sockets)


def check_cross_cpc(ends: RingEnds, read_at_sockets: Sequence[Decimal]) -> Check:
    """Line to protective conductor at every socket; a little lower towards the board."""
    return _cross("cross-cpc", "Cross-connected, line to cpc", ends.lowest_cross_cpc, ends.cross_cpc, read_at_sockets)


def _cross(code: str, name: str, low: Decimal, high: Decimal, read: Sequence[Decimal]) -> Check:
    spread = value("RING-SPREAD")
    above, below = [ohms for ohms in read if ohms > high + spread], [ohms for ohms in read if ohms < low - spread]
    outcome = Outcome.UNKNOWN if not read else Outcome.LOOK if above or below else Outcome.PASS
    return Check(
        code, name, outcome, "(r1 + rn) ÷ 4" if code == "cross-live" else "r1 × r2 ÷ (r1 + r2) to (r1 + r2) ÷ 4",
        _read_words(read), max(read, default=None), high, "Ω", f"{plain(low)} to {plain(high)} Ω, give or take {plain(spread)}",
        (rule("RING-CROSS"), rule("RING-SPREAD")), _cross_advice(bool(read), above, below),
    )


def _read_words(read: Sequence[Decimal]) -> str:
    return f"{plain(min(read))} to {plain(max(read))} Ω at {len(read)} sockets" if read else "no reading"


def _cross_advice(is_read: bool, above: list[Decimal], below: list[Decimal]) -> str:
    if not is_read:
        return "Read at every socket with the ends cross-connected."
    found = []
    if above:
        found.append(
            f"{len(above)} higher than the ring gives: perhaps a spur, a poor connection, or ends joined to the wrong legs."
        )
    if below:
        found.append(f"{len(below)} lower than the ring gives: perhaps a link across the ring, or another length than written.")
    return " ".join(found)

"""Holes and notches in solid timber joists: each published rule says on its own whether one is within its limits.

Only for solid joists of a floor. Engineered joists, rafters and beams are never cut without their maker or an
engineer. All lengths in millimetres. A pass here is no design: an engineer decides outside the limits, and the
builder of the floor may set narrower ones.
"""

from dataclasses import dataclass
from decimal import Decimal

from jobs.core.figures import plain

LABC = "LABC guidance, notches and holes in solid timber joists"
NHBC = "NHBC Standards 2020, 6.4.18"
DEEPEST_WITHOUT_ENGINEER_MM = 250


@dataclass(frozen=True)
class Joist:
    """A solid timber joist: its span between supports and its depth."""

    span_mm: int
    depth_mm: int

    def from_support(self, place_mm: int) -> int:
        """How far a place lies from the nearer support, measured along the span."""
        return min(place_mm, self.span_mm - place_mm)


@dataclass(frozen=True)
class Verdict:
    """What one rule says. `wrong` holds a sentence for each limit that is not kept; `limits` says what they are."""

    source: str
    limits: str
    wrong: tuple[str, ...]

    @property
    def passes(self) -> bool:
        """Every limit of this rule is kept."""
        return not self.wrong


def judge_hole(
    joist: Joist, diameter_mm: int, place_mm: int, *, spacing_mm: int | None = None, notch_gap_mm: int | None = None
) -> list[Verdict]:
    """A hole on the centre line. `spacing_mm`: between centres to the next hole; `notch_gap_mm`: along to a notch."""
    widest = min(Decimal(joist.depth_mm) / 4, Decimal(65))
    wrong = [
        *_too_much(diameter_mm, widest, "The hole"),
        *_outside(joist, place_mm, Decimal("0.25"), Decimal("0.4")),
        *_too_little(spacing_mm, 3 * diameter_mm, "Holes stand", "between centres"),
    ]
    limits = f"at most {_mm(widest)}, on the centre line, {_zone(joist, Decimal('0.25'), Decimal('0.4'))}, 3 diameters apart"
    apart = _too_little(notch_gap_mm, 100, "Hole and notch stand", "apart")
    return [Verdict(LABC, limits, tuple(wrong)), _by_engineer(joist, apart)]


def judge_notch(joist: Joist, notch_mm: int, place_mm: int, *, hole_gap_mm: int | None = None) -> list[Verdict]:
    """A notch in the top or the bottom, never both, by two rules that differ: keep both."""
    shallow = min(Decimal(joist.depth_mm) / 8, Decimal(35))
    deep = Decimal(joist.depth_mm) * Decimal("0.15")
    first = [*_too_much(notch_mm, shallow, "The notch"), *_outside(joist, place_mm, Decimal("0.07"), Decimal("0.25"))]
    second = [
        *_too_much(notch_mm, deep, "The notch"),
        *_outside(joist, place_mm, Decimal("0.1"), Decimal("0.2")),
        *_too_little(hole_gap_mm, 100, "Notch and hole stand", "apart"),
        *_deep_joist(joist),
    ]
    return [
        Verdict(LABC, f"at most {_mm(shallow)} deep, {_zone(joist, Decimal('0.07'), Decimal('0.25'))}", tuple(first)),
        Verdict(NHBC, f"at most {_mm(deep)} deep, {_zone(joist, Decimal('0.1'), Decimal('0.2'))}", tuple(second)),
    ]


def _by_engineer(joist: Joist, wrong: list[str]) -> Verdict:
    return Verdict(NHBC, "100 mm along from any notch; an engineer for deep joists", (*wrong, *_deep_joist(joist)))


def _deep_joist(joist: Joist) -> list[str]:
    if joist.depth_mm <= DEEPEST_WITHOUT_ENGINEER_MM:
        return []
    return [f"Joists deeper than {DEEPEST_WITHOUT_ENGINEER_MM} mm need an engineer."]


def _too_much(given_mm: int, most_mm: Decimal, what: str) -> list[str]:
    return [] if given_mm <= most_mm else [f"{what} is {given_mm} mm, more than {_mm(most_mm)}."]


def _too_little(given_mm: int | None, least_mm: int, what: str, how: str) -> list[str]:
    return [] if given_mm is None or given_mm >= least_mm else [f"{what} {given_mm} mm {how}, less than {least_mm} mm."]


def _outside(joist: Joist, place_mm: int, low: Decimal, high: Decimal) -> list[str]:
    from_mm = joist.from_support(place_mm)
    if low * joist.span_mm <= from_mm <= high * joist.span_mm:
        return []
    return [f"It lies {from_mm} mm from the support, not {_zone(joist, low, high)}."]


def _zone(joist: Joist, low: Decimal, high: Decimal) -> str:
    return f"{plain(low * joist.span_mm, 1)} to {_mm(high * joist.span_mm)} from the support"


def _mm(length: Decimal) -> str:
    return f"{plain(length, 1)} mm"

"""A circuit as its designer sees it: cable, the parts of its route, device, load; and the supply it hangs on.

Lengths in metres, currents in amps, impedances in ohms, distances of insulation in mm, air in °C. What cannot be, such as
a negative length, is refused with ValueError and a sentence.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.electrics.cables import Cable, Method, ambient_rule, grouping_rule, insulation_rule, rating_rule
from jobs.core.electrics.rule_rows import value
from jobs.core.electrics.rules import Rule
from jobs.core.figures import plain
from jobs.core.stages import CircuitKind, Worded

DEVICE_RATINGS = tuple(Decimal(amps) for amps in (6, 10, 16, 20, 25, 32, 40, 45, 50, 63))
"""Usual ratings of breakers (common practice, no source)."""


class Earthing(Worded):
    """How the supply is earthed."""

    TN_C_S = "tn_c_s", "TN-C-S (PME)"
    TN_S = "tn_s", "TN-S (sheath)"
    TT = "tt", "TT (own electrode)"


class Curve(Worded):
    """Type of a breaker: it settles at how many times its rating it trips at once (Table 41.3)."""

    B = "B", "Type B"
    C = "C", "Type C"


class RcdType(Worded):
    """Type of an RCD, by the shape of residual current it answers to."""

    AC = "AC", "Type AC"
    A = "A", "Type A"
    F = "F", "Type F"
    B = "B", "Type B (smooth d.c.)"


@dataclass(frozen=True)
class Device:
    """A breaker, or one with RCD when `rcd_milliamps` is given (its own or the one upstream)."""

    curve: Curve
    rating_amps: Decimal
    rcd_milliamps: int | None = None
    rcd_type: RcdType | None = None
    is_time_delayed: bool = False

    def __post_init__(self) -> None:
        if self.rating_amps <= 0:
            raise ValueError("A device's rating must be more than 0 A.")

    @property
    def name(self) -> str:
        """Breaker and RCD, as in “B32, 30 mA RCD”."""
        return f"{self.breaker}, {self.rcd_milliamps} mA RCD" if self.rcd_milliamps else self.breaker

    @property
    def breaker(self) -> str:
        """Curve and rating alone."""
        return f"{self.curve}{plain(self.rating_amps)}"

    @property
    def trip_amps(self) -> Decimal:
        """What makes it trip at once."""
        return self.rating_amps * value(f"TRIP-{self.curve}")


@dataclass(frozen=True)
class Supply:
    """`ze_ohms`: earth loop outside the house. `fuse_amps`: the network operator's fuse, as found or told."""

    ze_ohms: Decimal
    fuse_amps: Decimal
    earthing: Earthing = Earthing.TN_C_S

    def __post_init__(self) -> None:
        if self.ze_ohms < 0 or self.fuse_amps <= 0:
            raise ValueError("A supply has Ze of 0 Ω or more and a fuse of more than 0 A.")


@dataclass(frozen=True)
class Part:
    """A length of the route that lies one way. `grouped` counts the loaded circuits together, this one included."""

    metres: Decimal
    method: Method
    grouped: int = 1
    is_side_by_side: bool = False
    surrounded_mm: int = 0
    ambient_c: int = 30

    def __post_init__(self) -> None:
        if self.metres < 0:
            raise ValueError("A length cannot be negative.")
        self.factor_rules()

    def factor_rules(self) -> tuple[Rule, Rule]:
        """Ambient and grouping. ValueError outside their tables."""
        return ambient_rule(self.ambient_c), grouping_rule(self.grouped, side_by_side=self.is_side_by_side)

    @property
    def factor(self) -> Decimal:
        """Ca × Cg."""
        ambient, grouping = self.factor_rules()
        return ambient.value * grouping.value

    def tabulated_amps(self, cable: Cable) -> Decimal:
        """Rating before Ca and Cg; wholly surrounded by insulation it is that of method C, lowered."""
        rate, lowered = self.rate_and_insulation(cable)
        return rate * lowered

    def rate_and_insulation(self, cable: Cable) -> tuple[Decimal, Decimal]:
        """It and Ci, of whichever way of counting gives less."""
        return min(self._rates(cable), key=lambda pair: pair[0] * pair[1])

    def capacity_amps(self, cable: Cable) -> Decimal:
        """Amps the cable carries as it lies here: its rating, lowered by insulation where there is any, × Ca × Cg."""
        return self.tabulated_amps(cable) * self.factor

    def rating_rules(self, cable: Cable) -> tuple[Rule, ...]:
        """The rows that its capacity stands on: rating, insulation if any, ambient, grouping."""
        insulation = (rating_rule(cable, Method.C), insulation_rule(self.surrounded_mm)) if self.surrounded_mm else ()
        return tuple(dict.fromkeys((rating_rule(cable, self.method), *insulation, *self.factor_rules())))

    def _rates(self, cable: Cable) -> Iterable[tuple[Decimal, Decimal]]:
        yield cable.rating(self.method), Decimal(1)
        if self.surrounded_mm:
            yield cable.rating(Method.C), insulation_rule(self.surrounded_mm).value


@dataclass(frozen=True)
class Circuit:
    """`design_amps` None where nobody has worked it out; `points` on the loop of a ring, `spurs` its unfused ones.

    Spurs are of the ring's own cable. `cable` is None where its size is not listed, and then nothing about it can be
    judged. `is_shallow`: somewhere less than 50 mm deep in a wall without earthed metal.
    """

    reference: str
    name: str
    kind: CircuitKind
    cable: Cable | None
    parts: tuple[Part, ...]
    device: Device | None
    design_amps: Decimal | None = None
    points: int = 0
    spurs: int = 0
    longest_spur_metres: Decimal = Decimal(0)
    floor_area_m2: Decimal | None = None
    has_sockets: bool = False
    is_in_bathroom: bool = False
    is_shallow: bool = True

    @property
    def is_ring(self) -> bool:
        """Whether it is a ring: its `metres` are then the loop."""
        return self.kind == CircuitKind.RING

    @property
    def metres(self) -> Decimal:
        """Length of the cable: the whole loop of a ring, else from the board to the far end."""
        return sum((part.metres for part in self.parts), Decimal(0))

    @property
    def governing_part(self) -> Part | None:
        """The part that lowers its cable most; all of the cable is judged by it."""
        if self.cable is None:
            return None
        used = [part for part in self.parts if part.metres] or self.parts
        return min(used, key=lambda part: part.capacity_amps(self.cable), default=None)

    @property
    def is_socket_circuit(self) -> bool:
        """Whether it feeds socket-outlets; a ring always counts."""
        return self.has_sockets or self.is_ring

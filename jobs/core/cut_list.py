"""Cut list: which run of cable is cut from which drum or offcut. Runs are never joined.

A request names the runs, the lengths in stores and the size of a new drum; `jobs.core.cutting` finds the cuts.
What is wanted, in this order: every run cut; fewest new drums; fewest sealed drums opened; most metres from
offcuts; least scrap; the longest leftover. `faults` checks any cut list and shares nothing with the solvers.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import IntEnum
from math import ceil

ZERO, CENTIMETRE = Decimal(0), Decimal("0.01")
USEFUL_METRES = Decimal(3)
"""A leftover shorter than this is scrap: about a drop and its tails (common practice, no source)."""


class Kind(IntEnum):
    """Lengths in the order they should be used up."""

    OFFCUT = 0
    STARTED = 1
    SEALED = 2
    NEW = 3


@dataclass(frozen=True)
class Run:
    """One unbroken length to cut, metres above zero."""

    reference: str
    metres: Decimal
    name: str = ""


@dataclass(frozen=True)
class Length:
    """A drum or offcut: its label, metres left, what it is and where it lies."""

    label: str
    metres: Decimal
    kind: Kind = Kind.STARTED
    place: str = ""


@dataclass(frozen=True)
class Request:
    """`new_drum_metres`: what a drum that is bought holds."""

    runs: tuple[Run, ...]
    lengths: tuple[Length, ...] = ()
    new_drum_metres: Decimal = Decimal(100)


@dataclass(frozen=True)
class Cut:
    """A length and the runs cut from it, in pulling order."""

    length: Length
    runs: tuple[Run, ...]

    @property
    def cut_metres(self) -> Decimal:
        """Metres of all its runs."""
        return sum((run.metres for run in self.runs), ZERO)

    @property
    def left_metres(self) -> Decimal:
        """Metres left of the length; below zero when its runs are longer than it."""
        return self.length.metres - self.cut_metres


@dataclass(frozen=True)
class CutList:
    """`uncut`: runs longer than any length to be had. `least_new_drums`: nobody can do with fewer.

    `is_proven`: no cut list is better in the order of wants above.
    """

    cuts: tuple[Cut, ...]
    uncut: tuple[Run, ...] = ()
    least_new_drums: int = 0
    is_proven: bool = False

    @property
    def new_drums(self) -> int:
        """How many drums must be bought."""
        return sum(cut.length.kind == Kind.NEW for cut in self.cuts)

    @property
    def waste_metres(self) -> Decimal:
        """What is left of the lengths cut into, too short to use."""
        return sum((cut.left_metres for cut in self.cuts if cut.left_metres < USEFUL_METRES), ZERO)

    @property
    def longest_left_metres(self) -> Decimal:
        """The longest piece left of any length cut into; 0 when nothing is cut."""
        return max((cut.left_metres for cut in self.cuts), default=ZERO)

    @property
    def merit(self) -> tuple[Decimal, ...]:
        """Smaller is better, compared from the left."""
        return (
            Decimal(len(self.uncut)),
            Decimal(self.new_drums),
            Decimal(sum(cut.length.kind == Kind.SEALED for cut in self.cuts)),
            -sum((cut.cut_metres for cut in self.cuts if cut.length.kind == Kind.OFFCUT), ZERO),
            self.waste_metres,
            -self.longest_left_metres,
        )


def split_cuttable(request: Request) -> tuple[tuple[Run, ...], tuple[Run, ...]]:
    """(runs that some length can hold, runs that none can)."""
    longest = max((request.new_drum_metres, *(length.metres for length in request.lengths)))
    fits = tuple(run for run in request.runs if run.metres <= longest)
    return fits, tuple(run for run in request.runs if run.metres > longest)


def split_at_points(run: Run, legs: int, longest: Decimal) -> list[Run]:
    """A run longer than any length to be had, as parts that meet at points; a run that fits stays whole.

    `legs` are the pieces from point to point (and to the board), taken as equally long. Parts have whole legs, as
    alike as can be, and add up to the run. A run whose single leg is too long stays as it is: nobody can cut it.
    """
    each = int(longest * legs / run.metres)
    if run.metres <= longest or each < 1:
        return [run]
    parts = ceil(legs / each)
    ends = [legs * number // parts * run.metres / legs for number in range(parts + 1)]
    cuts = [end.quantize(CENTIMETRE) for end in ends]
    return [
        Run(f"{run.reference}/{number}", cuts[number] - cuts[number - 1], f"{run.name}, part {number} of {parts}")
        for number in range(1, parts + 1)
    ]


def least_new_drums(request: Request) -> int:
    """A lower bound on new drums: runs that fit nothing in stores need them, and metres missing need them.

    For the first kind, the bound of Martello and Toth (Knapsack Problems, 1990, chapter 8: L2), which counts
    runs that cannot share a drum.
    """
    size = request.new_drum_metres
    longest = max((length.metres for length in request.lengths), default=ZERO)
    bound = [run.metres for run in request.runs if run.metres <= size]  # a longer one may have to stay uncut
    homeless = [metres for metres in bound if metres > longest]
    missing = sum(bound, ZERO) - sum((each.metres for each in request.lengths), ZERO)
    return max(_drums_for(missing, size), *(_share_bound(homeless, size, small) for small in {ZERO, *homeless}))


def _share_bound(metres: Sequence[Decimal], size: Decimal, small: Decimal) -> int:
    """Drums for runs of at least `small`: those above half a drum never share one with each other."""
    if small > size / 2:
        return 0
    alone = [each for each in metres if each > size - small]
    halves = [each for each in metres if size / 2 < each <= size - small]
    rest = sum((each for each in metres if small <= each <= size / 2), ZERO)
    room = len(halves) * size - sum(halves, ZERO)
    return len(alone) + len(halves) + _drums_for(rest - room, size)


def _drums_for(metres: Decimal, size: Decimal) -> int:
    return max(0, ceil(metres / size))


def faults(request: Request, cut_list: CutList) -> list[str]:
    """What is wrong with a cut list, a sentence each; empty when it can be cut as it stands."""
    found = [
        f"{cut.length.label} holds {cut.length.metres} m, {cut.cut_metres} m are cut from it."
        for cut in cut_list.cuts
        if cut.left_metres < 0
    ]
    placed = Counter(run for cut in cut_list.cuts for run in cut.runs) + Counter(cut_list.uncut)
    asked = Counter(request.runs)
    found += [f"{run.reference} is not cut." for run in (asked - placed).elements()]
    found += [f"{run.reference} is cut twice, or was not asked for." for run in (placed - asked).elements()]
    used = Counter(cut.length for cut in cut_list.cuts if cut.length.kind != Kind.NEW)
    found += [f"{length.label} is not there." for length in (used - Counter(request.lengths)).elements()]
    return found


def new_drum(request: Request, number: int) -> Length:
    """A drum still to be bought, of the request's size; `number` tells it from the others."""
    return Length(f"New drum {number}", request.new_drum_metres, Kind.NEW)

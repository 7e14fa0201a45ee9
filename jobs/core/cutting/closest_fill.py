"""Fill one length after another as closely as the runs allow: fewer drums than first-fit where runs fit snugly.

The idea is the minimum bin slack heuristic of Gupta and Ho (1999, Production Planning & Control 10), with each new
drum begun by the longest run left, as Fleszar and Hindi (2002, Computers & Operations Research 29) advise.
"""

from collections.abc import Sequence
from decimal import Decimal

from jobs.core.cut_list import CutList, Kind, Length, Request, Run, least_new_drums, new_drum, split_cuttable
from jobs.core.cutting.first_fit import in_pulling_order, in_use_up_order, longest_first

TICKS_PER_METRE = 100


def cut_by_closest_fill(request: Request) -> CutList:
    """A cut list at once, lengths in stores filled first. Work grows with runs × metres × drums."""
    runs, too_long = split_cuttable(request)
    left, filled = sorted(runs, key=longest_first), []
    for length in in_use_up_order(request.lengths):
        _fill(length, left, filled, [run for run in left if run.metres > request.new_drum_metres])
    uncut = [run for run in left if run.metres > request.new_drum_metres]
    left = [run for run in left if run not in uncut]
    while left:
        bought = sum(length.kind == Kind.NEW for length, _ in filled)
        _fill(new_drum(request, bought + 1), left, filled, left)
    return CutList(in_pulling_order(filled), (*too_long, *uncut), least_new_drums(request))


def _fill(length: Length, left: list[Run], filled: list[tuple[Length, list[Run]]], urgent: Sequence[Run]) -> None:
    """Move runs from `left` to `length`: the first of `urgent` that fits, and whatever fills the rest best."""
    first = next((run for run in urgent if run.metres <= length.metres), None)
    begun = [first] if first else []
    for run in begun:
        left.remove(run)
    room = int((length.metres - sum((run.metres for run in begun), Decimal(0))) * TICKS_PER_METRE)
    chosen = [left[index] for index in _fullest([int(run.metres * TICKS_PER_METRE) for run in left], room)]
    for run in chosen:
        left.remove(run)
    filled.append((length, begun + chosen))


def _fullest(sizes: Sequence[int], room: int) -> list[int]:
    """Indexes of the sizes whose sum comes closest to `room` without passing it.

    `reached` is a set of sums as bits; before each size its state is kept, to walk back from the best sum.
    """
    reached, states, within = 1, [], (1 << (room + 1)) - 1
    for size in sizes:
        states.append(reached)
        reached |= (reached << size) & within
    total, chosen = reached.bit_length() - 1, []
    for index in range(len(sizes) - 1, -1, -1):
        if not states[index] >> total & 1:
            chosen.append(index)
            total -= sizes[index]
    return chosen

"""First-fit decreasing: longest run first, into the first length that still holds it, offcuts before drums."""

from collections.abc import Iterable
from decimal import Decimal

from jobs.core.cut_list import Cut, CutList, Kind, Length, Request, Run, least_new_drums, new_drum, split_cuttable


def cut_by_first_fit(request: Request) -> CutList:
    """A cut list at once. It may take more new drums than needed; `least_new_drums` says how few there could be."""
    runs, too_long = split_cuttable(request)
    uncut = list(too_long)
    filled: list[tuple[Length, list[Run]]] = [(length, []) for length in in_use_up_order(request.lengths)]
    for run in sorted(runs, key=longest_first):
        if not _place(run, filled, request):
            uncut.append(run)
    return CutList(in_pulling_order(filled), tuple(uncut), least_new_drums(request))


def _place(run: Run, filled: list[tuple[Length, list[Run]]], request: Request) -> bool:
    """Whether the run found a length that holds it."""
    for length, held in filled:
        if _left(length, held) >= run.metres:
            held.append(run)
            return True
    if run.metres > request.new_drum_metres:
        return False
    bought = sum(length.kind == Kind.NEW for length, _ in filled)
    filled.append((new_drum(request, bought + 1), [run]))
    return True


def _left(length: Length, runs: Iterable[Run]) -> Decimal:
    return length.metres - sum((run.metres for run in runs), Decimal(0))


def in_use_up_order(lengths: Iterable[Length]) -> list[Length]:
    """Offcuts before started drums before sealed ones, shorter before longer; a drum that owes metres is left out."""
    usable = (length for length in lengths if length.metres > 0)
    return sorted(usable, key=lambda length: (length.kind, length.metres, length.label))


def in_pulling_order(filled: Iterable[tuple[Length, list[Run]]]) -> tuple[Cut, ...]:
    """Cuts in the order of the floor: offcuts, started drums, sealed and new ones; on each the longest run first."""
    cuts = [Cut(length, tuple(sorted(runs, key=longest_first))) for length, runs in filled if runs]
    return tuple(sorted(cuts, key=lambda cut: cut.length.kind))


def longest_first(run: Run) -> tuple[Decimal, str]:
    """Sort key: longer runs first, equally long ones by reference."""
    return (-run.metres, run.reference)

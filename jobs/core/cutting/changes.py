"""What a new cut list changes of the one before, in sentences for whoever pulls the cable."""

from jobs.core.cut_list import CutList


def tell_changes(before: CutList, after: CutList) -> list[str]:
    """Runs cut from another length, runs that can no longer be cut, and drums to buy; empty when nothing changes."""
    was, now = _places(before), _places(after)
    moved = [
        f"{reference}: cut from {now[reference]}, no longer from {was[reference]}."
        for reference in was if reference in now and now[reference] != was[reference]
    ]
    lost = [f"{run.reference}: no drum holds it any more." for run in after.uncut if run not in before.uncut]
    found = [f"{run.reference}: can be cut now, from {now[run.reference]}." for run in before.uncut if run.reference in now]
    return [*moved, *lost, *found, *_tell_drums(after.new_drums - before.new_drums)]


def _places(cuts: CutList) -> dict[str, str]:
    return {run.reference: cut.length.label for cut in cuts.cuts for run in cut.runs}


def _tell_drums(more: int) -> list[str]:
    if not more:
        return []
    word = "drum" if abs(more) == 1 else "drums"
    return [f"{abs(more)} {'more' if more > 0 else 'fewer'} new {word} to buy."]

"""What is wrong in a file somebody brought in, as `office/_file_faults.html` lists it."""

from collections.abc import Iterable, Sequence

from jobs.core.survey_file.draft import Fault, group_faults

MOST_SHOWN = 500


def list_faults(faults: Iterable[Fault], notes: Sequence[str] = ()) -> dict[str, object]:
    """Equal faults together; no more than a page can bear."""
    groups = group_faults(faults)
    return {"groups": groups[:MOST_SHOWN], "left_out": max(0, len(groups) - MOST_SHOWN), "notes": notes}

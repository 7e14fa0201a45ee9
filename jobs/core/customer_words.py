"""A rewire in words for the people whose house it is, and what they need to know of it: power and cleared rooms."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from jobs.core.stages import Stage

STAGE_WORDS = {
    Stage.STRIP_OUT: "The old wiring comes out",
    Stage.FIRST_FIX: "New cables and boxes go into walls, floors and ceilings",
    Stage.PLASTER_WAIT: "The plaster dries",
    Stage.SECOND_FIX: "Sockets, switches and lights are fitted",
    Stage.TEST: "Everything is tested and handed over",
}
OFF_STAGES = (Stage.STRIP_OUT, Stage.TEST)
"""Stages in which the supply is isolated for most of the day; in second fix only where the board is changed."""

POWER_CAUTION = (
    "Never reset, open or use anything we have switched off, locked or labelled. Tell us of medical equipment, alarms, "
    "freezers and fish tanks that need power, before these days."
)
LIVED_IN = "We work with the power off during the working day and put it back on each evening, as far as it has been tested."
EMPTY = "From the first of these days on, count on power only where we tell you: circuits stay off until they are tested."


@dataclass(frozen=True, order=True)
class DayRun:
    """Days in a row, both ends included."""

    first_on: date
    last_on: date


def is_power_off(stage: str, *, has_board: bool) -> bool:
    """Whether work of a stage needs the house's supply off; `has_board`: the board's place is in the area worked on.

    Common practice, no source.
    """
    return stage in OFF_STAGES or (stage == Stage.SECOND_FIX and has_board)


def day_runs(days: Iterable[date], *, bridged: int = 0) -> list[DayRun]:
    """Days taken together; `bridged`: as many missing days in a row do not part them."""
    runs: list[DayRun] = []
    for on in sorted(set(days)):
        if runs and on - runs[-1].last_on <= timedelta(days=1 + bridged):
            runs[-1] = DayRun(runs[-1].first_on, on)
        else:
            runs.append(DayRun(on, on))
    return runs


def first_name(name: str) -> str:
    """The first word of a name: all that people outside the firm are told."""
    return name.split()[0] if name.split() else ""

"""What a person needs to be told: their dates as they last heard them against their dates now, in their words."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from jobs.core.planning.plan import CauseKind
from jobs.core.slots import Slot, day_words
from jobs.core.stages import Half

GO_AHEAD_FOLLOWS = (
    "Pencilled in: the final go-ahead will follow once the work that gets covered up has been checked and recorded."
)

REASONS = {
    CauseKind.PREDECESSOR: "the work before it moves",
    CauseKind.INSIDE: "the work it belongs to moves",
    CauseKind.DRYING: "the plaster needs its drying time",
    CauseKind.DELIVERY: "materials come later",
    CauseKind.CREW_ELSEWHERE: "our crew is on another job until then",
    CauseKind.PERSON_AWAY: "one of our crew is away",
    CauseKind.BOARDS_OPEN: "floors are open before then",
    CauseKind.PIN: "our office arranged it",
    CauseKind.NOT_BEFORE: "the house is not free before then",
    CauseKind.TRADE_CLOSED: "you do not work then",
}
"""Why a date moved, in words for people outside the firm: nobody's name, health or other customers in them."""


class Change(StrEnum):
    """What happened to a date, as the person told of it sees it."""

    NEW = "new"
    CHANGED = "changed"
    CANCELLED = "cancelled"


HEADS = {Change.NEW: "New date", Change.CHANGED: "Changed date", Change.CANCELLED: "Cancelled"}


@dataclass(frozen=True)
class Telling:
    """One sentence for one person; `subject` is what it is about, for the head of a message."""

    change: Change
    subject: str
    line: str


def tell_visit(
    what: str,
    told: Slot | None,
    planned: Slot | None,
    *,
    cause: str = "",
    awaits_go_ahead: bool = False,
    is_agreed: bool = False,
) -> Telling | None:
    """What to say about a visit that was told as `told` and is planned as `planned`; None when nothing changed.

    `is_agreed`: they said themselves that they can come then.
    """
    if told == planned:
        return None
    if planned is None:
        return Telling(Change.CANCELLED, what, f"{what}: {told.words} is cancelled. Please do not come for it.")
    follows = f" {GO_AHEAD_FOLLOWS}" if awaits_go_ahead else ""
    if told is None:
        agreed = ", as agreed" if is_agreed else ""
        return Telling(Change.NEW, f"{what}, {planned.words}", f"{what}: {planned.words}{agreed}.{follows}")
    reason = "As agreed with you." if is_agreed else f"Reason: {REASONS[cause]}." if cause in REASONS else ""
    line = f"{what}: moved. Before: {told.words}. Now: {planned.words}.{reason and f' {reason}'}{follows}"
    return Telling(Change.CHANGED, f"{what}, now {planned.words}", line)


def tell_go_ahead(what: str, starts_on: date, starts_half: str) -> Telling:
    """The final go-ahead to cover up; it claims nothing about what was recorded, since it may be an override."""
    when = f"{day_words(starts_on)}, {Half(starts_half).label}"
    return Telling(
        Change.NEW, f"Go-ahead: {what}", f"{what}: you have our go-ahead from {when} on. What you close up may be closed up."
    )


def tell_agreed(what: str, slot: Slot) -> Telling:
    """Thanks for a yes."""
    return Telling(Change.NEW, f"Agreed: {what}, {slot.words}", f"{what}: {slot.words} is agreed. Thank you.")


def tell_off(what: str, slot: Slot) -> Telling:
    """Thanks for a no."""
    line = f"{what}: {slot.words} is off, as you cannot make it. We come back to you with another date."
    return Telling(Change.CANCELLED, f"Off: {what}, {slot.words}", line)


def tell_turned_down(what: str, days: Sequence[str], reason: str) -> Telling:
    """The days somebody suggested do not suit; `days` in words."""
    suits_not = " ".join(filter(None, ("That does not suit us.", reason)))
    line = f"{what}: thank you for suggesting {'; '.join(days)}. {suits_not} We come back to you with another date."
    return Telling(Change.CANCELLED, f"{what}: the days you suggested do not suit", line)


def remind(what: str, slot: Slot, *, place: str, needs_answer: bool, awaits_go_ahead: bool) -> Telling:
    """The working day before: when, where, and what is still open."""
    lines = [
        f"{what}: {slot.words}, {place}." if place else f"{what}: {slot.words}.",
        GO_AHEAD_FOLLOWS if awaits_go_ahead else "",
        "Please say whether you can make it: we have no answer from you yet." if needs_answer else "",
    ]
    return Telling(Change.NEW, f"{what}, {slot.words}", " ".join(line for line in lines if line))


def ask_again(what: str, slot: Slot) -> Telling:
    """Once more, to somebody who has not answered."""
    line = f"{what}: {slot.words}. We have no answer from you yet: please say whether you can make it."
    return Telling(Change.NEW, f"{what}, {slot.words}", line)


def prompt_headline(tellings: Sequence[Telling], *, reminds: bool) -> str:
    """The subject of a message that only repeats dates."""
    head = "Reminder" if reminds else "Can you make it?"
    more = f" and {len(tellings) - 1} more" if len(tellings) > 1 else ""
    return f"{head}{':' if reminds else ''} {tellings[0].subject}{more}"


def tell_days(told: Mapping[date, str], planned: Mapping[date, str]) -> list[Telling]:
    """What to say about somebody's working days, each told and planned in words; a blank or missing day is free."""
    days = sorted({*told, *planned})
    tellings = (_tell_day(day, told.get(day, ""), planned.get(day, "")) for day in days)
    return [telling for telling in tellings if telling]


def _tell_day(on: date, told: str, planned: str) -> Telling | None:
    day = day_words(on)
    if told == planned:
        return None
    if not told:
        return Telling(Change.NEW, day, f"{day}: {planned}.")
    if not planned:
        return Telling(Change.CANCELLED, day, f"{day}: nothing planned for you any more (was {told}).")
    return Telling(Change.CHANGED, day, f"{day}: now {planned} (was {told}).")


def headline(tellings: Sequence[Telling]) -> tuple[Change, str]:
    """The kind of the whole message and its subject: the one thing it is about, or how many of which kind."""
    counts = Counter(telling.change for telling in tellings)
    kind = next(iter(counts)) if len(counts) == 1 else Change.CHANGED
    if len(tellings) == 1:
        return kind, f"{HEADS[kind]}: {tellings[0].subject}"
    return kind, "Dates: " + ", ".join(f"{counts[change]} {change}" for change in Change if counts[change])

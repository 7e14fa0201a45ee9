"""What a line of a room's checklist stands at, folded from the marks that phones made.

Marks arrive in any order, late or twice. A mark that takes others back names the ones its person saw, so two phones
on the same line merge the same way everywhere and no clock decides what is done (an observed-remove set; Shapiro,
Preguiça, Baquero, Zawirski, "A comprehensive study of convergent and commutative replicated data types", 2011).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal

LONGEST_WAIT = timedelta(days=14)
"""A phone that was offline for longer than this cannot date its marks any further back."""


@dataclass(frozen=True)
class Mark:
    """One operation on one line.

    `share` is the part of the work done (0 < share ≤ 1); `not_needed` a reason why the line is not needed here; a
    mark with neither only takes back. `replaces` holds the ids of the marks its person saw and takes back.
    """

    op_id: str
    at: datetime
    by: object = None
    share: Decimal = Decimal(0)
    not_needed: str = ""
    replaces: frozenset[str] = frozenset()

    @property
    def stands_for_something(self) -> bool:
        """Whether it says done or not needed; else it only takes back."""
        return self.share > 0 or bool(self.not_needed)


@dataclass(frozen=True)
class Standing:
    """Where a line stands: the marks nobody took back, the one that counts, and what follows from it."""

    marks: frozenset[str]
    last: Mark | None

    @property
    def share(self) -> Decimal:
        """Part of the work really done, 0 to 1."""
        return self.last.share if self.last else Decimal(0)

    @property
    def not_needed(self) -> str:
        """Why the line is not needed here; "" when it is."""
        return self.last.not_needed if self.last else ""

    @property
    def settled_share(self) -> Decimal:
        """Part of the labour that is no longer to be done: done, or not needed here."""
        return Decimal(1) if self.not_needed else self.share


def fold(marks: Iterable[Mark]) -> Standing:
    """Where a line stands after all `marks`, whatever their order and however often each is given.

    Of the marks left, the largest share counts, and work done outweighs "not needed"; among equals the earliest.
    """
    by_id = {mark.op_id: mark for mark in marks}
    taken_back = frozenset().union(*(mark.replaces for mark in by_id.values()))
    left = [mark for mark in by_id.values() if mark.stands_for_something and mark.op_id not in taken_back]
    last = min(left, key=lambda mark: (-mark.share, mark.at, mark.op_id), default=None)
    return Standing(marks=frozenset(mark.op_id for mark in left), last=last)


def correct_time(*, received_at: datetime, sent_at: datetime, device_at: datetime) -> datetime:
    """When something happened by the server's clock: `device_at` and `sent_at` share the phone's error, so it cancels.

    The wait is held between 0 and `LONGEST_WAIT`.
    """
    wait = sent_at.astimezone(UTC) - device_at.astimezone(UTC)
    return received_at - min(max(wait, timedelta(0)), LONGEST_WAIT)

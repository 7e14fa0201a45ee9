"""How far a job is: folded from the lines crews tick, by package and room."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Case, Count, F, Max, Min, Q, QuerySet, Sum, When

from jobs.models import RoomTask

NOT_DONE = Q(done_share__lt=1, not_needed="")
"""Lines somebody still has to tick; one that is not needed counts as done."""


@dataclass(frozen=True)
class Progress:
    """Electrician hours and lines, all and done; when work was first and last ticked."""

    hours: Decimal = Decimal(0)
    hours_done: Decimal = Decimal(0)
    lines: int = 0
    lines_done: int = 0
    first_at: datetime | None = None
    last_at: datetime | None = None

    def __add__(self, other: "Progress") -> "Progress":
        return Progress(
            self.hours + other.hours,
            self.hours_done + other.hours_done,
            self.lines + other.lines,
            self.lines_done + other.lines_done,
            min(filter(None, (self.first_at, other.first_at)), default=None),
            max(filter(None, (self.last_at, other.last_at)), default=None),
        )

    @property
    def share(self) -> float:
        """The part done by hours, or by lines where they take no hours; from 0 to 1."""
        if self.hours:
            return float(self.hours_done / self.hours)
        return self.lines_done / self.lines if self.lines else 0.0

    @property
    def percent(self) -> int:
        """Whole per cent done, 100 only when every line is done."""
        return 100 if self.is_done else min(99, int(self.share * 100))

    @property
    def hours_left(self) -> Decimal:
        return self.hours - self.hours_done

    @property
    def is_done(self) -> bool:
        return self.lines > 0 and self.lines == self.lines_done

    @property
    def is_begun(self) -> bool:
        return self.lines_done > 0 or self.hours_done > 0


def load_progress(tasks: QuerySet[RoomTask], *keys: str) -> dict[tuple, Progress]:
    """The progress of `tasks` grouped by `keys`, fields of a line, in one query."""
    share = Case(When(~Q(not_needed=""), then=Decimal(1)), default=F("done_share"))
    rows = tasks.filter(is_withdrawn=False).order_by().values_list(*keys).annotate(
        hours=Sum("labour_hours"),
        hours_done=Sum(F("labour_hours") * share),
        lines=Count("pk"),
        lines_done=Count("pk", filter=~NOT_DONE),
        first_at=Min("done_at", filter=Q(done_share__gt=0)),
        last_at=Max("done_at", filter=Q(done_share__gt=0)),
    )
    return {row[: len(keys)]: Progress(*row[len(keys) :]) for row in rows}


def total(parts: Iterable[Progress]) -> Progress:
    return sum(parts, Progress())

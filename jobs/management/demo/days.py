"""Working days counted from the demo's today, so that the story is alive whenever it is told."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from jobs.core.workdays import Calendar


@dataclass(frozen=True)
class Days:
    calendar: Calendar
    today: date
    zone: ZoneInfo

    def ahead(self, working_days: int) -> date:
        """The working day so many after today (0: today, or the next one worked)."""
        return self._nth(working_days, timedelta(days=1))

    def ago(self, working_days: int) -> date:
        return self._nth(working_days, timedelta(days=-1))

    def at(self, on: date, hour: int, minute: int = 0) -> datetime:
        return datetime.combine(on, time(hour, minute), self.zone)

    def between(self, first: date, last: date) -> Iterator[date]:
        """The working days from `first` up to, not including, `last`."""
        while first < last:
            if self.calendar.is_working(first):
                yield first
            first += timedelta(days=1)

    def _nth(self, count: int, step: timedelta) -> date:
        on = self.today
        while not self.calendar.is_working(on):
            on += step
        for _ in range(count):
            on += step
            while not self.calendar.is_working(on):
                on += step
        return on

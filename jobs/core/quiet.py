"""Hours and days in which messages about dates stay in."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from jobs.core.workdays import bank_holidays

SUNDAY = 6


@dataclass(frozen=True)
class QuietHours:
    """Nothing leaves from `starts_at` to `ends_at`, which may lie on the next morning; equal times mean no quiet hours.

    `has_quiet_days`: nor on Sundays and on bank holidays of `region`. Raises ValueError for an unknown region.
    """

    starts_at: time
    ends_at: time
    has_quiet_days: bool
    region: str
    zone: ZoneInfo

    def leaves_at(self, made_at: datetime, *, about: date | None = None) -> datetime:
        """When a message made at `made_at` may leave.

        At once outside quiet hours; otherwise when they end. One about a day (`about`) that would have come by then
        leaves at once too: people hear tonight that tomorrow is off.
        """
        local = made_at.astimezone(self.zone)
        end = local
        while self._is_quiet(end):
            end = self._next_end(end)
        is_too_late = about is not None and end.date() >= about
        return made_at if end == local or is_too_late else end.astimezone(made_at.tzinfo)

    def _is_quiet(self, at: datetime) -> bool:
        return self._is_quiet_day(at.date()) or self._is_quiet_hour(at.time())

    def _is_quiet_day(self, on: date) -> bool:
        return self.has_quiet_days and (on.weekday() == SUNDAY or on in bank_holidays(self.region, on.year))

    def _is_quiet_hour(self, at: time) -> bool:
        if self.starts_at <= self.ends_at:
            return self.starts_at <= at < self.ends_at
        return at >= self.starts_at or at < self.ends_at

    def _next_end(self, at: datetime) -> datetime:
        """The next time the hours end; on a quiet day without hours, the next midnight."""
        ends_at = self.ends_at if self.starts_at != self.ends_at else time(0)
        day = at.date() if at.time() < ends_at else at.date() + timedelta(days=1)
        return datetime.combine(day, ends_at, self.zone)

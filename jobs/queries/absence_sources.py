"""Calendars of absences: what was read of one, beside what is known already."""

from dataclasses import dataclass
from datetime import date, timedelta

from jobs.core.away import AwayHalf, AwayStretch, away_stretches, halves_of
from jobs.core.stages import Half
from jobs.core.workdays import Calendar, days_between
from jobs.models import AbsenceSource, Part, Person
from jobs.queries.firm_calendar import load_calendar


@dataclass(frozen=True)
class SourcePreview:
    """Stretches read from a calendar that would be new, those that are known already, and how many lie on rest days."""

    new: list[AwayStretch]
    known: list[AwayStretch]
    resting: int
    half_days: int


def busy_halves(source: AbsenceSource) -> list[AwayHalf]:
    return [(date.fromisoformat(on), Half(half)) for on, half in source.busy]


def list_sources(person: Person) -> list[AbsenceSource]:
    """Calendars that count; one that is only being looked at is left out."""
    return list(person.absence_sources.exclude(accepted_at=None))


def load_preview(source: AbsenceSource, today: date) -> SourcePreview:
    """What accepting a calendar would add to what the person's other absences and college days say."""
    calendar = load_calendar(source.firm, today)
    read = busy_halves(source)
    worked = [half for half in read if calendar.is_working(half[0])]
    known = _known_halves(source, worked)
    fresh = [half for half in worked if half not in known]
    return SourcePreview(
        new=_worked_stretches(fresh, calendar),
        known=_worked_stretches([half for half in worked if half in known], calendar),
        resting=len({on for on, _ in read if not calendar.is_working(on)}),
        half_days=len(fresh),
    )


def _known_halves(source: AbsenceSource, worked: list[AwayHalf]) -> set[AwayHalf]:
    absences = source.person.absences.exclude(source=source)
    known = {half for row in absences for half in halves_of(row.starts_on, row.ends_on, _half(row.part))}
    releases = list(source.person.day_releases.all())
    return known | {
        half for half in worked
        if any(row.weekday == half[0].weekday() and row.starts_on <= half[0] <= row.ends_on for row in releases)
    }


def _half(part: str) -> Half | None:
    return None if part == Part.ALL_DAY else Half(part)


def _worked_stretches(halves: list[AwayHalf], calendar: Calendar) -> list[AwayStretch]:
    """Stretches of whole days that only rest days part are one."""
    joined: list[AwayStretch] = []
    for stretch in away_stretches(halves):
        last = joined[-1] if joined else None
        if last and last.half is stretch.half is None and _only_rest_between(last, stretch, calendar):
            joined[-1] = AwayStretch(last.starts_on, stretch.ends_on)
        else:
            joined.append(stretch)
    return joined


def _only_rest_between(earlier: AwayStretch, later: AwayStretch, calendar: Calendar) -> bool:
    one_day = timedelta(days=1)
    between = days_between(earlier.ends_on + one_day, later.starts_on - one_day)
    return not any(calendar.is_working(day) for day in between)

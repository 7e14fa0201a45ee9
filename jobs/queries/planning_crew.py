"""The crew as the planner sees them: grade, hours, and the sessions each person is away."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date

from jobs.core import ages
from jobs.core.planning import problem as core
from jobs.core.stages import Half
from jobs.core.workdays import Calendar, Sessions, days_between
from jobs.models import Absence, DayRelease, Firm, Part, Person
from jobs.queries.planning_keys import person_key

GRADES = {
    "labourer": core.Grade.LABOURER,
    "apprentice": core.Grade.APPRENTICE,
    "improver": core.Grade.IMPROVER,
    "electrician": core.Grade.ELECTRICIAN,
}
COLLEGE = "college"


def load_people(firm: Firm, sessions: Sessions, today: date) -> tuple[core.Person, ...]:
    """Everyone working for the firm; someone who turns 18 later counts as under 18 until then."""
    away = load_away(firm, sessions)
    college_days = _college_days(firm, today)
    return tuple(
        _person(row, away[row.pk], college_days[row.pk], sessions, today)
        for row in Person.objects.filter(firm=firm, is_active=True).order_by("pk")
    )


def load_away(firm: Firm, sessions: Sessions) -> dict[int, dict[int, str]]:
    """Person pk → session number → why they are away."""
    away: dict[int, dict[int, str]] = defaultdict(dict)
    window = {"starts_on__lte": sessions.last_on, "ends_on__gte": sessions.first_on}
    for release in DayRelease.objects.filter(firm=firm, **window):
        away[release.person_id].update(dict.fromkeys(_release_sessions(release, sessions), COLLEGE))
    for absence in Absence.objects.filter(firm=firm, **window):
        words = absence.get_kind_display().lower()
        away[absence.person_id].update(dict.fromkeys(_absence_sessions(absence, sessions), words))
    return away


def _release_sessions(release: DayRelease, sessions: Sessions) -> Iterator[int]:
    days = _within(release.starts_on, release.ends_on, sessions)
    return _numbers((day for day in days if day.weekday() == release.weekday), tuple(Half), sessions)


def _absence_sessions(absence: Absence, sessions: Sessions) -> Iterator[int]:
    halves = tuple(Half) if absence.part == Part.ALL_DAY else (Half(absence.part),)
    return _numbers(_within(absence.starts_on, absence.ends_on, sessions), halves, sessions)


def _within(starts_on: date, ends_on: date, sessions: Sessions) -> Iterator[date]:
    return days_between(max(starts_on, sessions.first_on), min(ends_on, sessions.last_on))


def _numbers(days: Iterable[date], halves: tuple[Half, ...], sessions: Sessions) -> Iterator[int]:
    numbers = (sessions.index(day, half) for day in days for half in halves)
    return (number for number in numbers if number is not None)


def _college_days(firm: Firm, today: date) -> dict[int, int]:
    """Person pk → college days a week, now or to come."""
    counted: dict[int, int] = defaultdict(int)
    for person_pk in DayRelease.objects.filter(firm=firm, ends_on__gte=today).values_list("person_id", flat=True):
        counted[person_pk] += 1
    return counted


def _person(row: Person, away: dict[int, str], college_days: int, sessions: Sessions, today: date) -> core.Person:
    is_young = ages.is_under_18(row.born_on, today)
    return core.Person(
        key=person_key(row.pk),
        name=row.name,
        grade=GRADES[row.grade],
        productivity=float(row.productivity),
        may_test=row.may_test,
        needs_supervision=row.needs_supervision,
        is_under_18=is_young,
        away=away,
        weekly_hours_limit=_weekly_limit(row, sessions.calendar),
        adult_from=_adult_from(row, sessions) if is_young else None,
        young_weekly_hours=_young_weekly_hours(row, college_days, sessions.calendar),
    )


def _adult_from(row: Person, sessions: Sessions) -> int | None:
    """The first session on or after the eighteenth birthday, if it comes within the calendar."""
    return next((number for number in range(len(sessions)) if not ages.is_under_18(row.born_on, sessions.on(number))), None)


def _weekly_limit(row: Person, calendar: Calendar) -> float | None:
    """Hours a week open to planning, where they are fewer than the firm's."""
    limit = float(row.hours_per_week)
    return limit if limit < _day_hours(calendar) * len(calendar.weekdays) else None


def _young_weekly_hours(row: Person, college_days: int, calendar: Calendar) -> float:
    """The same before the eighteenth birthday: college counts as working time until then (common practice, no source)."""
    most = min(float(row.hours_per_week), core.UNDER_18_WEEK_HOURS)
    return max(most - college_days * _day_hours(calendar), 0.0)


def _day_hours(calendar: Calendar) -> float:
    return sum(calendar.hours(half) for half in Half)

"""Calendars of days away: nothing counts before it was looked at; what is read again replaces only its own."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions import absence_sources
from jobs.actions.fetching import FetchError
from jobs.actions.people import add_absence, remove_absence
from jobs.actions.permission import Refused
from jobs.core.workdays import Calendar, sessions_between
from jobs.models import Absence, AbsenceSource, OutboxEntry
from jobs.queries.absence_sources import load_preview
from jobs.queries.plan_age import list_news
from jobs.queries.planning_crew import load_away
from tests.calendars.test_busy import calendar
from tests.factories import NOW, TODAY, make_crew_user, make_firm, make_office, make_person, make_plan

pytestmark = pytest.mark.django_db
ADDRESS = "https://college.example/term.ics"
COLLEGE = calendar("DTSTART;VALUE=DATE:20270118\nRRULE:FREQ=WEEKLY;COUNT=3")
DAYS = [date(2027, 1, 18), date(2027, 1, 25), date(2027, 2, 1)]


@pytest.fixture
def office():
    return make_office(make_firm())


@pytest.fixture
def person(office):
    return make_person(office.firm, "Kit Larch")


def keep(person, office, raw=COLLEGE, **more) -> AbsenceSource:
    return absence_sources.keep_source(
        person=person, name="College", kind="college", raw=raw, by=office, now=NOW, **more
    )


def taken_in(person, office, **more) -> AbsenceSource:
    return absence_sources.accept_source(source=keep(person, office, **more), by=office, now=NOW)


def from_address(person, office) -> AbsenceSource:
    return taken_in(person, office, raw=b"", address=ADDRESS, fetched_with=lambda address: COLLEGE)


def read_again(source, raw, now=NOW + timedelta(days=1)) -> None:
    write = absence_sources.read_again(source_pk=source.pk, now=now, fetched_with=lambda address: raw)
    if write:
        write()


def days_away(person) -> list:
    return list(person.absences.order_by("starts_on").values_list("starts_on", flat=True))


def test_nobody_is_away_when_a_calendar_was_only_read(person, office):
    keep(person, office)
    assert days_away(person) == []


def test_days_count_when_the_office_takes_them_in(person, office):
    taken_in(person, office)
    assert days_away(person) == DAYS
    assert {(row.kind, row.part, row.note) for row in person.absences.all()} == {("college", "all", "")}


def test_preview_tells_new_days_from_known_ones_when_some_are_typed_already(person, office):
    add_absence(person=person, kind="college", starts_on=DAYS[0], ends_on=DAYS[0], by=office, now=NOW)
    preview = load_preview(keep(person, office), TODAY)
    assert [row.starts_on for row in preview.new] == DAYS[1:]
    assert [row.starts_on for row in preview.known] == DAYS[:1]


def test_only_its_own_absences_go_when_a_calendar_is_removed(person, office):
    add_absence(person=person, kind="sick", starts_on=TODAY, ends_on=TODAY, by=office, now=NOW)
    absence_sources.remove_source(source=taken_in(person, office), by=office, now=NOW)
    assert days_away(person) == [TODAY]


def test_absence_cannot_be_removed_alone_when_it_was_read_from_a_calendar(person, office):
    taken_in(person, office)
    with pytest.raises(Refused, match="College"):
        remove_absence(absence=Absence.objects.first(), by=office, now=NOW)


def test_days_follow_when_the_calendar_is_read_again(person, office):
    source = from_address(person, office)
    read_again(source, calendar("DTSTART;VALUE=DATE:20270119"))
    assert days_away(person) == [date(2027, 1, 19)]


def test_days_gone_by_stay_when_the_calendar_forgets_them(person, office):
    source = from_address(person, office)
    read_again(source, calendar("DTSTART;VALUE=DATE:20270201"), NOW + timedelta(days=10))
    assert days_away(person) == [DAYS[0], DAYS[2]]


def test_absences_are_left_alone_when_the_calendar_says_the_same(person, office):
    source = from_address(person, office)
    before = set(person.absences.values_list("pk", flat=True))
    read_again(source, COLLEGE)
    assert set(person.absences.values_list("pk", flat=True)) == before


def test_days_stay_and_the_office_is_told_when_reading_again_fails(person, office):
    source = from_address(person, office)

    def fail(address: str) -> bytes:
        raise FetchError("It answers with 404 instead of a calendar.")

    absence_sources.read_again(source_pk=source.pk, now=NOW, fetched_with=fail)()
    source.refresh_from_db()
    assert days_away(person) == DAYS
    assert (source.fault, source.failed_at) == ("It answers with 404 instead of a calendar.", NOW)


def test_nothing_happens_when_the_calendar_was_removed_meanwhile(person, office):
    source = from_address(person, office)
    write = absence_sources.read_again(source_pk=source.pk, now=NOW, fetched_with=lambda address: COLLEGE)
    absence_sources.remove_source(source=source, by=office, now=NOW)
    write()
    assert absence_sources.read_again(source_pk=source.pk, now=NOW) is None
    assert days_away(person) == []


def test_each_address_is_asked_once_a_day_when_the_schedule_runs_twice(person, office):
    from_address(person, office)
    taken_in(make_person(office.firm), office)
    for _ in range(2):
        absence_sources.ask_to_read_again(now=NOW)
    assert OutboxEntry.objects.filter(task="read_absences").count() == 1


def test_calendar_is_forgotten_when_nobody_took_it_in(person, office):
    keep(person, office)
    absence_sources.ask_to_read_again(now=NOW + timedelta(days=3))
    assert not AbsenceSource.objects.exists()


def test_planner_knows_the_days_when_they_were_taken_in(person, office):
    taken_in(person, office)
    sessions = sessions_between(Calendar(), TODAY, DAYS[-1])
    away = load_away(office.firm, sessions)[person.pk]
    assert {sessions.on(number) for number in away} == set(DAYS)
    assert set(away.values()) == {"college"}


def test_draft_is_told_of_it_when_days_away_changed_since(person, office):
    plan = make_plan(office.firm, made_at=NOW - timedelta(hours=1))
    taken_in(person, office)
    assert list_news(plan) == ["1 person with other days away"]


def test_week_end_is_not_noted_when_the_firm_rests_anyway(person, office):
    taken_in(person, office, raw=calendar("DTSTART;VALUE=DATE:20270116\nDTEND;VALUE=DATE:20270118"))
    assert days_away(person) == []


def test_second_calendar_of_the_name_is_refused_when_one_counts(person, office):
    taken_in(person, office)
    with pytest.raises(Refused, match="already"):
        keep(person, office)


def test_reading_is_refused_in_words_when_the_file_is_no_calendar(person, office):
    with pytest.raises(Refused, match="not a calendar"):
        keep(person, office, raw=b"hello")


def test_crew_may_not_read_calendars_in_when_they_try(person):
    with pytest.raises(PermissionDenied):
        keep(person, make_crew_user(person))


def test_other_firms_person_is_out_of_reach_when_named(office):
    with pytest.raises(PermissionDenied):
        keep(make_person(make_firm("Other")), office)

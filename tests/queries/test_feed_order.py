from datetime import date, timedelta

import pytest

from jobs.actions.calendar_entries import renew_entries
from jobs.actions.links import choose_options, make_link
from jobs.core.events import Order, Relation
from jobs.core.stages import Half
from jobs.models import Booking, CalendarEntry, Dependency, SecretLink
from jobs.queries.feeds import feed_version, load_events
from jobs.queries.links import find_feed
from tests.factories import NOW, TODAY, make_area, make_package, make_person
from tests.told import FRIDAY, Told

pytestmark = pytest.mark.django_db

TUESDAY = date(2027, 1, 12)


@pytest.fixture
def waiting(told: Told) -> Told:
    """Two days of Asha's work, then the plasterer, after three days."""
    asha, package = make_person(told.firm, "Asha"), make_package(make_area(told.visit.job))
    for on in (TUESDAY, TUESDAY + timedelta(days=1)):
        Booking.objects.create(
            firm=told.firm, plan=told.plan, package=package, person=asha, on=on, half=Half.MORNING, hours=4
        )
    Dependency.objects.create(
        firm=told.firm, job=told.visit.job, before_package=package, after_visit=told.visit, lag_days=3, lag_sessions=1
    )
    renew_entries(plan=told.plan, now=NOW)
    return told


def feed(told: Told, *, shows_order: bool = True, purpose: str = SecretLink.Purpose.JOB_FEED) -> SecretLink:
    whose = {"job": told.visit.job} if purpose == SecretLink.Purpose.JOB_FEED else {}
    link, token = make_link(purpose=purpose, by=told.office, now=NOW, **whose)
    choose_options(link=link, shows_order=shows_order, alarm_minutes=None, by=told.office)
    return find_feed(token, NOW)


def relations(link: SecretLink) -> dict[date, tuple[Relation, ...]]:
    return {event.starts.date(): event.relations for event in load_events(link, TODAY) if event.relations}


def uid(told: Told) -> str:
    return str(CalendarEntry.objects.get(visit=told.visit).uid)


@pytest.mark.parametrize("purpose", ["job_feed", "firm_feed"])
def test_last_day_names_the_visit_that_waits_for_it_when_asked_for(waiting, purpose):
    found = relations(feed(waiting, purpose=purpose))
    assert found == {TUESDAY + timedelta(days=1): (Relation(Order.FINISH_TO_START, uid(waiting), 3),)}


def test_first_day_names_it_when_the_visit_may_come_once_work_has_begun(waiting):
    Dependency.objects.update(kind="start_start", lag_days=0)
    assert relations(feed(waiting)) == {TUESDAY: (Relation(Order.START_TO_START, uid(waiting)),)}


def test_visit_names_the_first_day_that_waits_for_it_when_work_follows(waiting):
    package = Dependency.objects.get().before_package
    Dependency.objects.update(before_package=None, before_visit=waiting.visit, after_package=package, after_visit=None)
    (relation,) = relations(feed(waiting))[FRIDAY]
    assert relation.uid == str(CalendarEntry.objects.filter(person__isnull=False).earliest("starts_at").uid)


@pytest.mark.parametrize("change", [{"kind": "inside"}, {"is_waived": True}])
def test_nothing_is_named_when_nothing_has_to_end_or_begin_first(waiting, change):
    Dependency.with_waived.update(**change)
    assert relations(feed(waiting)) == {}


def test_nothing_is_named_when_the_calendar_is_not_to_say_it(waiting):
    assert relations(feed(waiting, shows_order=False)) == {}


def test_calendar_has_another_version_when_a_wait_is_taken_off(waiting):
    link = feed(waiting)
    before = feed_version(link, TODAY, 1)
    Dependency.objects.update(is_waived=True)
    assert feed_version(link, TODAY, 1) != before

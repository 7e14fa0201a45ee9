from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions import people
from jobs.actions.devices import let_in_by_link, make_sign_in
from jobs.actions.permission import Refused
from jobs.models import Absence, Grade, Person
from tests.factories import NOW, TODAY, make_crew_user, make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def person(firm):
    return make_person(firm, "Priya")


def add(firm, office, **details) -> Person:
    return people.add_person(firm=firm, details={"name": "Sam", "grade": Grade.ELECTRICIAN} | details, by=office, now=NOW)


def test_person_is_added_to_the_firm(firm, office):
    assert add(firm, office).firm == firm


def test_person_is_refused_when_the_name_is_taken(firm, office, person):
    with pytest.raises(Refused, match="There is a Priya already"):
        add(firm, office, name="Priya")


def test_apprentice_is_refused_when_no_birthday_is_given(firm, office):
    with pytest.raises(Refused, match="birthday"):
        add(firm, office, grade=Grade.APPRENTICE)


def test_nobody_under_18_may_test(firm, office):
    with pytest.raises(Refused, match="may test"):
        add(firm, office, may_test=True, born_on=TODAY - timedelta(days=17 * 365))


def test_a_labourer_may_not_test(firm, office):
    with pytest.raises(Refused, match="may test"):
        add(firm, office, grade=Grade.LABOURER, may_test=True)


def test_anyone_under_18_needs_supervision(firm, office):
    with pytest.raises(Refused, match="supervision"):
        add(firm, office, grade=Grade.LABOURER, born_on=TODAY - timedelta(days=17 * 365))


def test_nothing_is_kept_when_an_edit_is_refused(firm, office, person):
    with pytest.raises(Refused):
        people.edit_person(person=person, details={"name": "Kim", "born_on": date(2090, 1, 1)}, by=office, now=NOW)

    assert Person.objects.get(pk=person.pk).name == "Priya"


def test_phones_are_signed_out_when_a_person_leaves(firm, office, person):
    sign_in = make_sign_in(person=person, by=office, now=NOW)
    let_in = let_in_by_link(token=sign_in.token, device_name="Phone", now=NOW)

    people.edit_person(person=person, details={"is_active": False}, by=office, now=NOW)

    let_in.device.refresh_from_db()
    let_in.user.refresh_from_db()
    assert let_in.device.revoked_at == NOW
    assert not let_in.user.is_active


def test_crew_cannot_edit_people(person):
    with pytest.raises(PermissionDenied):
        people.edit_person(person=person, details={"name": "Boss"}, by=make_crew_user(person), now=NOW)


def test_absence_is_refused_when_it_ends_before_it_starts(office, person):
    with pytest.raises(Refused, match="before the first"):
        people.add_absence(person=person, kind="sick", starts_on=TODAY, ends_on=TODAY - timedelta(days=1), by=office, now=NOW)


def test_absence_is_refused_when_it_is_there_already(office, person):
    people.add_absence(person=person, kind="sick", starts_on=TODAY, ends_on=TODAY, by=office, now=NOW)

    with pytest.raises(Refused, match="already away"):
        people.add_absence(person=person, kind="holiday", starts_on=TODAY, ends_on=TODAY, by=office, now=NOW)


def test_absence_can_be_removed(office, person):
    absence = people.add_absence(person=person, kind="sick", starts_on=TODAY, ends_on=TODAY, by=office, now=NOW)

    people.remove_absence(absence=absence, by=office, now=NOW)

    assert not Absence.objects.exists()


def test_college_day_is_refused_when_the_weekday_is_taken_in_that_time(office, person):
    until = TODAY + timedelta(days=100)
    people.add_college_day(person=person, weekday=2, starts_on=TODAY, ends_on=until, by=office, now=NOW)

    with pytest.raises(Refused, match="Wednesdays"):
        people.add_college_day(person=person, weekday=2, starts_on=until, ends_on=until, by=office, now=NOW)


def test_college_day_can_be_removed(office, person):
    day = people.add_college_day(person=person, weekday=2, starts_on=TODAY, ends_on=TODAY, by=office, now=NOW)

    people.remove_college_day(day_release=day, by=office, now=NOW)

    assert not person.day_releases.exists()

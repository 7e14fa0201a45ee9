import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.permission import Refused
from jobs.actions.person_choices import choose_person, drop_choice
from jobs.models import PersonChoice
from tests.factories import make_crew_user, make_firm, make_job, make_office, make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def office():
    return make_office(make_firm())


@pytest.fixture
def job(office):
    return make_job(office.firm)


@pytest.fixture
def person(office):
    return make_person(office.firm, "Priya")


def test_last_choice_stands_when_a_person_is_chosen_twice(office, job, person):
    choose_person(job=job, person=person, is_excluded=False, by=office)
    choose_person(job=job, person=person, is_excluded=True, by=office)
    assert PersonChoice.objects.get().is_excluded


def test_choice_is_refused_when_the_person_has_left(office, job):
    with pytest.raises(Refused, match="Sam no longer works here"):
        choose_person(job=job, person=make_person(office.firm, "Sam", is_active=False), is_excluded=False, by=office)


def test_choice_is_gone_when_dropped(office, job, person):
    drop_choice(choice=choose_person(job=job, person=person, is_excluded=True, by=office), by=office)
    assert not PersonChoice.objects.exists()


def test_choice_is_refused_when_the_person_is_of_another_firm(office, job):
    with pytest.raises(PermissionDenied):
        choose_person(job=job, person=make_person(make_firm("Other")), is_excluded=False, by=office)


def test_dropping_is_refused_when_crew_asks(office, job, person):
    choice = choose_person(job=job, person=person, is_excluded=True, by=office)
    with pytest.raises(PermissionDenied):
        drop_choice(choice=choice, by=make_crew_user(person))

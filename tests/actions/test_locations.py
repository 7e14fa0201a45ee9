import pytest

from jobs.actions.jobs import add_job, edit_job
from jobs.actions.locations import ensure_locations, firm_place, job_place, van_of
from jobs.actions.people import add_person
from jobs.models import Grade, Location
from tests.factories import NOW, make_firm, make_job, make_office, make_person

pytestmark = pytest.mark.django_db
Kind = Location.Kind


def kinds(firm):
    return sorted(Location.objects.filter(firm=firm).values_list("kind", flat=True))


def test_every_place_is_made_once_when_asked_twice():
    firm = make_firm()
    make_person(firm)
    make_job(firm)
    ensure_locations(firm=firm)
    ensure_locations(firm=firm)
    assert kinds(firm) == sorted(["unit", "supplier", "waste", "count", "van", "site", "fitted"])


def test_job_has_its_places_when_it_is_added():
    firm = make_firm()
    add_job(firm=firm, details={"name": "Mill Lane"}, by=make_office(firm))
    assert kinds(firm) == ["fitted", "site"]


def test_person_has_a_van_when_they_join():
    firm = make_firm()
    details = {"name": "Ada Wren", "grade": Grade.ELECTRICIAN}
    person = add_person(firm=firm, details=details, by=make_office(firm), now=NOW)
    assert person.vans.get().name == "Ada Wren’s van"


def test_site_follows_when_the_job_is_renamed():
    firm = make_firm()
    job = make_job(firm, "Mill Lane")
    site = job_place(job, Kind.SITE)
    edit_job(job=job, details={"name": "Old Mill"}, by=make_office(firm))
    site.refresh_from_db()
    assert site.name == "Old Mill"


def test_van_stays_the_same_when_its_driver_takes_another_name():
    person = make_person(make_firm(), "Ada Wren")
    van = van_of(person)
    person.name = "Ada Finch"
    assert (van_of(person).pk, van_of(person).name) == (van.pk, "Ada Finch’s van")


def test_van_of_somebody_gone_goes_to_their_namesake():
    firm = make_firm()
    left = Location.objects.create(firm=firm, kind=Kind.VAN, name="Ada Wren’s van")
    person = make_person(firm, "Ada Wren")
    assert (van_of(person), van_of(person).person) == (left, person)


def test_firms_keep_apart_when_their_people_share_a_name():
    here, there = make_person(make_firm("A"), "Ada Wren"), make_person(make_firm("B"), "Ada Wren")
    assert van_of(here) != van_of(there)


def test_unit_keeps_its_own_name_when_it_has_one():
    firm = make_firm()
    unit = Location.objects.create(firm=firm, kind=Kind.UNIT, name="Fuller's Yard")
    assert firm_place(firm, Kind.UNIT) == unit

from datetime import date

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.contacts import add_contact, add_contact_away, edit_contact, remove_contact_away
from jobs.actions.permission import Refused
from jobs.core.stages import Trade
from jobs.models import ContactAway
from tests.factories import make_contact, make_firm, make_office

pytestmark = pytest.mark.django_db


@pytest.fixture
def office():
    return make_office(make_firm())


def test_contact_belongs_to_the_firm_when_added(office):
    contact = add_contact(firm=office.firm, details={"name": "Pat", "trade": Trade.PLASTERER}, by=office)
    assert (contact.firm, str(contact)) == (office.firm, "Pat")


def test_second_of_the_same_name_is_refused_when_of_one_trade(office):
    make_contact(office.firm, name="Pat")
    with pytest.raises(Refused, match="plasterer called Pat"):
        add_contact(firm=office.firm, details={"name": "Pat", "trade": Trade.PLASTERER}, by=office)


def test_contact_keeps_its_name_when_edited(office):
    contact = edit_contact(contact=make_contact(office.firm, name="Pat"), details={"phone": "07700 900111"}, by=office)
    assert (contact.name, contact.phone) == ("Pat", "07700 900111")


def test_other_firm_is_refused_when_it_edits_a_contact(office):
    with pytest.raises(PermissionDenied):
        edit_contact(contact=make_contact(make_firm("Other")), details={"name": "Mine"}, by=office)


def go_away(contact, by, ends_on: date = date(2027, 1, 18)) -> ContactAway:
    return add_contact_away(contact=contact, starts_on=date(2027, 1, 15), ends_on=ends_on, by=by)


def test_contact_is_away_until_the_days_are_removed(office):
    contact = make_contact(office.firm)
    away = go_away(contact, office)
    assert contact.times_away.get() == away
    remove_contact_away(away=away, by=office)
    assert not contact.times_away.exists()


def test_days_away_are_refused_when_they_end_before_they_start(office):
    with pytest.raises(Refused, match="last day comes before the first"):
        go_away(make_contact(office.firm), office, date(2027, 1, 14))


def test_days_away_are_refused_when_they_are_listed_already(office):
    contact = make_contact(office.firm, name="Pat")
    go_away(contact, office)
    with pytest.raises(Refused, match="Pat is already away"):
        go_away(contact, office, date(2027, 1, 16))


def test_days_away_are_refused_when_another_firm_asks(office):
    away = go_away(make_contact(office.firm), office)
    with pytest.raises(PermissionDenied):
        remove_contact_away(away=away, by=make_office(make_firm("Other")))

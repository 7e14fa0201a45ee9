import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.contacts import add_contact, edit_contact
from jobs.actions.permission import Refused
from jobs.core.stages import Trade
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

from datetime import time
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.firms import edit_firm, found_firm
from jobs.actions.permission import Refused
from jobs.models import Firm, PointKind
from tests import factories

pytestmark = pytest.mark.django_db


def test_office_user_can_sign_in_when_a_firm_is_founded(client):
    found_firm(details={"name": "Reed Lane Electrics"}, username="nell", password=factories.PASSWORD)
    answer = client.post("/sign-in/", {"username": "nell", "password": factories.PASSWORD})
    assert answer.status_code == 302


def test_catalogue_is_there_when_a_firm_is_founded():
    user = found_firm(details={"name": "Reed Lane Electrics"}, username="nell", password=factories.PASSWORD)
    assert PointKind.objects.filter(firm=user.firm, code="double-socket").exists()


def test_nothing_is_added_when_the_password_is_poor():
    with pytest.raises(Refused, match="short"):
        found_firm(details={"name": "Reed Lane Electrics"}, username="nell", password="brief")
    assert not Firm.objects.exists()


def test_nothing_is_added_when_the_username_is_taken():
    factories.make_office(factories.make_firm(), "nell")
    with pytest.raises(Refused, match="taken"):
        found_firm(details={"name": "Reed Lane Electrics"}, username="nell", password=factories.PASSWORD)
    assert Firm.objects.count() == 1


def test_details_are_kept_when_a_firm_is_edited():
    office = factories.make_office(factories.make_firm())
    edit_firm(firm=office.firm, details={"phone": "07700 900222", "holiday_region": "SCT"}, by=office)
    firm = Firm.objects.get()
    assert (firm.phone, firm.holiday_region) == ("07700 900222", "SCT")


@pytest.mark.parametrize(
    "details, field, words",
    [
        ({"morning_ends": time(7)}, "__all__", "A day goes forward"),
        ({"zone": "Europe/Nowhere"}, "zone", "Try Europe/London"),
        ({"occupied_factor": Decimal("0.9")}, "occupied_factor", "greater than or equal to 1"),
        ({"name": ""}, "name", "blank"),
    ],
)
def test_nothing_is_kept_when_a_firm_detail_is_wrong(details, field, words):
    office = factories.make_office(factories.make_firm())
    with pytest.raises(Refused, match=words) as refused:
        edit_firm(firm=office.firm, details=details, by=office)
    assert refused.value.field == field


def test_edit_is_refused_when_another_firm_asks():
    with pytest.raises(PermissionDenied):
        edit_firm(firm=factories.make_firm(), details={"name": "Ours"}, by=factories.make_office(factories.make_firm("Other")))

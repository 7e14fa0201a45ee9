import pytest

from jobs.actions.firms import found_firm
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

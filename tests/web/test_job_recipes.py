from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.actions.catalogue import edit_catalogue_row
from jobs.models import Job, RecipeLine
from tests.placed_house import PlacedHouse

pytestmark = pytest.mark.django_db


@pytest.fixture
def house(client):
    house = PlacedHouse()
    house.make()
    client.force_login(house.office)
    return house


def _page(client, house) -> str:
    return client.get(reverse("job", args=[house.job.pk])).content.decode()


def _change_a_recipe(house):
    line = RecipeLine.objects.get(firm=house.firm, point_kind__code="double-socket", item__code="grommet-20")
    edit_catalogue_row(row=line, details={"quantity": Decimal(3)}, by=house.office)


def test_job_says_its_version_when_recipes_are_todays(client, house):
    page = _page(client, house)
    assert "Taken off with version 1" in page
    assert "Take off again" not in page


def test_job_shows_what_would_change_before_it_is_taken_off_again(client, house):
    _change_a_recipe(house)
    page = _page(client, house)
    assert "What taking off again would change" in page
    assert "quantity 2 → 3" in page


def test_job_uses_todays_recipes_when_the_office_says_so(client, house):
    _change_a_recipe(house)
    response = client.post(reverse("renew_programme", args=[house.job.pk]), follow=True)
    assert "version 2 of the catalogue" in response.content.decode()
    assert Job.objects.get(pk=house.job.pk).catalogue_version.number == 2


def test_take_off_lists_switch_cable_when_lights_are_routed(client, house):
    assert "L1 to switches and the like" in _page(client, house)

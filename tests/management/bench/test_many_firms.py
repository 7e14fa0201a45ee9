import pytest
from django.db import Error

from jobs.management.bench.many_firms import APART, copy_firm
from jobs.models import Area, Firm, Job, Room, SecretLink, User
from tests.factories import make_firm, make_office
from tests.rows import Rows

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def rows() -> Rows:
    rows = Rows(make_firm())
    rows[Room], rows[SecretLink], make_office(rows.firm, "nell")
    return rows


def test_firms_are_alike_when_one_is_copied(rows: Rows) -> None:
    copy_firm(rows.firm, 1, 3)
    assert Firm.objects.count() == Job.objects.count() == Room.objects.count() == 4


def test_copies_point_at_their_own_firm_when_one_is_copied(rows: Rows) -> None:
    copy_firm(rows.firm, 1, 1)
    room = Room.objects.get(pk=rows[Room].pk + APART)
    assert {room.firm_id, room.job.firm_id, room.area.firm_id} == {rows.firm.pk + APART}


def test_names_to_sign_in_with_differ_when_a_firm_is_copied(rows: Rows) -> None:
    copy_firm(rows.firm, 1, 2)
    assert {"nell", "nell-1", "nell-2"} <= set(User.objects.values_list("username", flat=True))


def test_links_stay_with_the_first_firm_when_it_is_copied(rows: Rows) -> None:
    copy_firm(rows.firm, 1, 1)
    assert [link.firm_id for link in SecretLink.objects.all()] == [rows.firm.pk]


def test_walls_stand_again_when_a_firm_was_copied(rows: Rows) -> None:
    copy_firm(rows.firm, 1, 1)
    with pytest.raises(Error, match="another firm"):
        Area.objects.filter(firm=rows.firm).update(job=rows[Job].pk + APART)

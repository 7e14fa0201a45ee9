import pytest
from django.db import transaction

from jobs.actions.housekeeping import forget_old_marks
from jobs.models import FirmChange
from jobs.queries.change_marks import load_standing
from tests.factories import make_firm, make_job

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def firm():
    return make_firm()


def test_standing_is_the_same_when_nothing_or_only_another_firm_changed(firm):
    before = load_standing(firm.pk)
    make_job(make_firm("Another firm"))
    assert before == load_standing(firm.pk) is not None


def test_standing_is_another_when_a_row_changed(firm):
    before = load_standing(firm.pk)
    make_job(firm)
    assert load_standing(firm.pk) != before


def test_standing_is_the_same_when_a_change_was_undone(firm):
    before = load_standing(firm.pk)
    with transaction.atomic():
        make_job(firm)
        transaction.set_rollback(True)
    assert load_standing(firm.pk) == before


def test_a_change_counts_when_only_a_part_before_it_was_undone(firm):
    before = load_standing(firm.pk)
    with transaction.atomic():
        with transaction.atomic():
            make_job(firm)
            transaction.set_rollback(True)
        make_job(firm)
    assert load_standing(firm.pk) != before


def test_there_is_no_standing_when_changes_may_yet_be_undone(firm):
    with transaction.atomic():
        assert load_standing(firm.pk) is None


def test_there_is_no_standing_when_the_database_leaves_no_marks(firm):
    FirmChange.objects.all().delete()
    assert load_standing(firm.pk) is None


def test_standing_is_another_when_the_writer_that_began_first_ends_last(firm):
    last = FirmChange.objects.create(pk=FirmChange.objects.latest("pk").pk + 10, firm_number=firm.pk)
    before = load_standing(firm.pk)
    FirmChange.objects.create(pk=last.pk - 1, firm_number=firm.pk)
    assert load_standing(firm.pk) != before


def test_no_earlier_standing_comes_back_when_marks_are_forgotten(firm):
    seen = [load_standing(firm.pk)]
    for _ in range(3):
        FirmChange.objects.create(firm_number=firm.pk)
        seen.append(load_standing(firm.pk))
        forget_old_marks()
        seen.append(load_standing(firm.pk))
    assert len(set(seen)) == len(seen)
    assert FirmChange.objects.filter(firm_number=firm.pk).count() == 1

import pytest
from django.db import transaction

from jobs.actions.housekeeping import forget_old_marks
from jobs.models import FirmChange, Job, OutboxEntry, Room, RoomTask
from jobs.queries.change_marks import load_standing, note_tables, standing_of, still_stands
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


def test_a_table_stands_as_before_when_another_table_changed(firm):
    before = load_standing(firm.pk)
    make_job(firm)
    after = load_standing(firm.pk)
    assert still_stands(standing_of({"jobs_room"}, before), after)
    assert not still_stands(standing_of({"jobs_room", "jobs_job"}, before), after)


def test_every_table_of_a_query_is_noted_when_it_is_joined_or_in_a_part_of_it(firm):
    with note_tables() as tables:
        list(Room.objects.filter(area__job__in=Job.objects.filter(state="booked")))
    assert tables == {"jobs_room", "jobs_area", "jobs_job"}


def test_ticks_are_noted_only_when_a_query_names_what_they_change(firm):
    with note_tables() as joined:
        list(Room.objects.filter(tasks__package=None))
    with note_tables() as whole:
        list(RoomTask.objects.all())
    assert "jobs_roomtask_ticked" in whole - joined
    assert "jobs_roomtask" in joined


def test_a_table_has_no_standing_when_its_changes_leave_no_marks(firm):
    with note_tables() as tables:
        OutboxEntry.objects.exists(), Job.objects.exists()
    assert standing_of(tables, load_standing(firm.pk)) is None
    assert standing_of({"jobs_job"}, load_standing(firm.pk)) is not None


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
    last = FirmChange.objects.create(pk=FirmChange.objects.latest("pk").pk + 10, firm_number=firm.pk, table_name="jobs_job")
    before = load_standing(firm.pk)
    FirmChange.objects.create(pk=last.pk - 1, firm_number=firm.pk, table_name="jobs_job")
    assert load_standing(firm.pk) != before


def test_no_earlier_standing_comes_back_when_marks_are_forgotten(firm):
    make_job(firm)
    seen = [load_standing(firm.pk)]
    for _ in range(3):
        FirmChange.objects.create(firm_number=firm.pk, table_name="jobs_job")
        seen.append(load_standing(firm.pk))
        forget_old_marks()
        seen.append(load_standing(firm.pk))
    assert all(seen[one] != seen[other] for one in range(len(seen)) for other in range(one))
    assert FirmChange.objects.filter(firm_number=firm.pk, table_name="jobs_job").count() == 1

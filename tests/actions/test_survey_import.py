import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.permission import Refused
from jobs.actions.survey import add_points
from jobs.actions.survey_import import drop_upload, import_survey, keep_upload
from jobs.core.survey_file import DraftPoints, SurveyDraft, example_draft, read_survey, write_csv
from jobs.models import Area, Circuit, Point, PointKind, Room, RoomTask, SurveyUpload, WorkPackage
from jobs.queries.survey import list_point_options, load_draft
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_circuit,
    make_firm,
    make_job,
    make_office,
    make_room,
    make_visit,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def firm():
    return make_firm(with_catalogue=True)


@pytest.fixture
def job(firm):
    return make_job(firm)


@pytest.fixture
def draft(firm):
    return example_draft(list_point_options(firm))


def test_a_file_is_saved_as_the_survey_and_makes_the_programme(job, draft, office):
    import_survey(job=job, draft=draft, by=office)
    assert (Area.objects.count(), Room.objects.count(), Circuit.objects.count()) == (2, 7, 6)
    assert Point.objects.count() == draft.point_count
    assert WorkPackage.objects.filter(job=job, stage="first_fix", labour_hours__gt=0).count() == 2


def test_the_survey_reads_as_the_file_did_when_it_is_written_out_again(job, draft, office):
    import_survey(job=job, draft=draft, by=office)
    assert load_draft(job) == draft


def test_a_survey_stays_when_nobody_said_that_the_file_replaces_it(job, draft, office):
    make_area(job, "Loft")
    with pytest.raises(Refused, match="has a survey already"):
        import_survey(job=job, draft=draft, by=office)
    assert [area.name for area in Area.objects.all()] == ["Loft"]


def test_a_survey_is_replaced_whole_when_said_so(job, draft, office):
    make_circuit(job, "Z9")
    make_room(make_area(job, "Loft"))
    import_survey(job=job, draft=draft, by=office, replaces=True)
    assert load_draft(job) == draft


def test_a_survey_with_a_tick_is_never_replaced(firm, job, draft, office):
    room = make_room(make_area(job))
    add_points(room=room, kind=PointKind.objects.get(firm=firm, code="double-socket"), quantity=1, by=office)
    RoomTask.objects.filter(room=room, point_count=1).update(done_share=1)
    with pytest.raises(Refused, match="Work has begun"):
        import_survey(job=job, draft=draft, by=office, replaces=True)
    assert Room.objects.get() == room


def test_a_survey_with_a_told_visit_is_never_replaced(job, draft, office):
    make_visit(job, area=make_area(job), state="accepted", starts_on=TODAY)
    with pytest.raises(Refused, match="was told a date"):
        import_survey(job=job, draft=draft, by=office, replaces=True)


def test_nothing_is_written_when_a_point_kind_is_gone(job, draft, office):
    gone = SurveyDraft(draft.areas, draft.rooms, draft.circuits, (*draft.points, DraftPoints("Hall", "gone", 1)))
    with pytest.raises(Refused, match="no longer has: gone"):
        import_survey(job=job, draft=gone, by=office)
    assert not Area.objects.exists()


def test_another_firm_s_office_may_not_import(job, draft):
    with pytest.raises(PermissionDenied):
        import_survey(job=job, draft=draft, by=make_office(make_firm("Other")))


def keep(job, draft, office, name="house.csv"):
    kinds = list_point_options(job.firm)
    reading = read_survey(write_csv(draft, kinds), point_kinds=kinds)
    return keep_upload(job=job, file_name=name, reading=reading, point_kinds=kinds, by=office, now=NOW)


def test_an_upload_holds_what_was_understood_and_nothing_is_in_the_survey(job, draft, office):
    upload = keep(job, draft, office)
    kept = read_survey(upload.text.encode(), point_kinds=list_point_options(job.firm)).draft
    assert (kept, Area.objects.count()) == (draft, 0)


def test_a_person_s_next_upload_takes_the_place_of_their_last(firm, job, draft, office):
    keep(job, draft, make_office(firm))
    keep(job, draft, office)
    second = keep(job, draft, office)
    assert SurveyUpload.objects.filter(made_by=office).get() == second
    assert SurveyUpload.objects.count() == 2


def test_uploads_go_when_one_of_them_is_saved_or_dropped(job, draft, office):
    drop_upload(upload=keep(job, draft, office), by=office)
    keep(job, draft, office)
    import_survey(job=job, draft=draft, by=office)
    assert not SurveyUpload.objects.exists()


@pytest.mark.parametrize(
    ("sent", "kept"), [("C:\\surveys\\mill row.csv", "mill row.csv"), ("../../etc/<b>.xlsx", "b.xlsx"), ("", "survey")]
)
def test_a_file_name_is_kept_plain(job, draft, office, sent, kept):
    assert keep(job, draft, office, sent).file_name == kept

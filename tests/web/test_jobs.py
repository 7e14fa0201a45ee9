import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jobs.actions.survey_import import import_survey
from jobs.core.survey_file import example_draft
from jobs.models import Booking, Job, Plan, RoomTask, Span
from jobs.queries.survey import list_point_options
from tests.factories import make_contact, make_crew_user, make_firm, make_job, make_person, make_plan

pytestmark = pytest.mark.django_db


@pytest.fixture
def firm():
    return make_firm(with_catalogue=True)


@pytest.fixture
def client(client, office):
    client.force_login(office)
    return client


@pytest.fixture
def job(firm, office):
    """The surveyed example house, booked."""
    job = make_job(firm, "Mill Row", state=Job.State.BOOKED)
    import_survey(job=job, draft=example_draft(list_point_options(firm)), by=office)
    return job


def text(response) -> str:
    return response.content.decode()


def details(**changed: object) -> dict[str, object]:
    return {
        "name": "9 Mill Row", "wall_kind": "masonry", "notice_route": "scheme", "plaster_system": "backing_and_skim",
        "plaster_thickness_mm": "13",
    } | changed


def test_the_list_invites_when_there_is_no_job(client):
    assert "Add the first job" in text(client.get(reverse("job_list")))


def test_the_list_shows_progress_and_next_dates(client, firm, job):
    package = job.packages.first()
    plan = make_plan(firm, Plan.State.ISSUED)
    today = timezone.localdate()
    Booking.objects.create(firm=firm, plan=plan, person=make_person(firm), package=package, on=today, half="am", hours=4)
    Span.objects.create(
        firm=firm, plan=plan, visit=job.visits.first(), starts_on=today, starts_half="am", ends_on=today, ends_half="pm"
    )
    page = text(client.get(reverse("job_list")))
    assert "Crew next there" in page
    assert str(job.visits.first()) in page


def test_handed_over_jobs_are_listed_apart(client, firm):
    make_job(firm, "Old House", state=Job.State.HANDED_OVER)
    assert "Old House" not in text(client.get(reverse("job_list")))
    assert "Old House" in text(client.get(reverse("job_list"), {"show": "past"}))


def test_the_list_takes_the_same_number_of_queries_for_more_jobs(client, firm, office, job, django_assert_num_queries):
    with CaptureQueriesContext(connection) as one:
        client.get(reverse("job_list"))
    import_survey(job=make_job(firm, "Two"), draft=example_draft(list_point_options(firm)), by=office)
    with django_assert_num_queries(len(one)):
        client.get(reverse("job_list"))


def test_an_added_job_goes_on_to_its_survey(client, firm):
    response = client.post(reverse("add_job"), details(postcode="zz1  1zz"))
    job = Job.objects.get(firm=firm)
    assert response.url == reverse("survey", args=[job.pk])
    assert job.postcode == "ZZ1 1ZZ"


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"name": ""}, "required"),
        ({"promised_finish_on": "2027-02-30"}, "valid date"),
        ({"plaster_thickness_mm": "0"}, "greater than or equal to 1"),
        ({"plaster_system": "sand"}, "valid choice"),
        ({"earliest_start_on": "2027-02-02", "promised_finish_on": "2027-02-01"}, "before the earliest start"),
    ],
)
def test_a_job_is_refused_at_its_field_when_details_are_wrong(client, changed, words):
    response = client.post(reverse("add_job"), details(**changed))
    assert response.status_code == 422
    assert words in text(response)


def test_a_customer_of_another_firm_cannot_be_chosen(client, firm):
    stranger = make_contact(make_firm("Other"), "customer")
    assert client.post(reverse("add_job"), details(customer=stranger.pk)).status_code == 422


def test_edited_details_are_kept(client, job):
    client.post(reverse("edit_job", args=[job.pk]), details(name="Mill Row", house="Cottage"))
    assert Job.objects.get(pk=job.pk).house == "Cottage"


def test_a_job_moves_on_by_its_button(client, job):
    client.post(reverse("move_job", args=[job.pk]), {"state": "on_site"})
    assert Job.objects.get(pk=job.pk).state == Job.State.ON_SITE


@pytest.mark.parametrize("state", ["", "nonsense", "handed_over"])
def test_a_step_that_cannot_be_taken_is_said(client, job, state):
    page = text(client.post(reverse("move_job", args=[job.pk]), {"state": state}, follow=True))
    assert "Mill Row is booked now" in page


def test_handing_over_says_what_is_still_open(client, job):
    Job.objects.filter(pk=job.pk).update(state=Job.State.ON_SITE)
    response = client.post(reverse("hand_over", args=[job.pk]), {"finished_on": timezone.localdate().isoformat()})
    assert response.status_code == 422
    assert "not ticked yet" in text(response)


def test_a_finished_job_is_handed_over(client, job):
    Job.objects.filter(pk=job.pk).update(state=Job.State.ON_SITE)
    RoomTask.objects.filter(package__job=job).update(done_share=1)
    given = {"finished_on": timezone.localdate().isoformat(), "open_readings_reason": "Sheets are on paper"}
    client.post(reverse("hand_over", args=[job.pk]), given)
    assert Job.objects.get(pk=job.pk).state == Job.State.HANDED_OVER


PAGES = ("job", "edit_job", "hand_over")
POSTS = ("move_job", "renew_programme", "add_visit", "add_wait")


@pytest.mark.parametrize("name", [*PAGES, *POSTS])
def test_a_job_of_another_firm_is_not_found(client, name):
    address = reverse(name, args=[make_job(make_firm("Other")).pk])
    assert (client.post if name in POSTS else client.get)(address).status_code == 404


@pytest.mark.parametrize("name", POSTS)
def test_nothing_changes_by_following_a_link(client, job, name):
    assert client.get(reverse(name, args=[job.pk])).status_code == 405


def test_crew_are_sent_to_their_own_page(client, firm, job):
    client.force_login(make_crew_user(make_person(firm)))
    assert client.get(reverse("job", args=[job.pk])).url == reverse("today")


def test_an_empty_job_s_page_leads_to_its_survey(client, firm):
    job = make_job(firm)
    assert "Survey the house" in text(client.get(reverse("job", args=[job.pk])))

import re
import uuid
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jobs.actions.survey import add_points, add_room
from jobs.actions.survey_import import import_survey
from jobs.actions.variations import report_point
from jobs.core.survey_file import example_draft
from jobs.models import Dependency, Job, PersonChoice, Plan, PointKind, RoomTask, Span, Visit, VisitKind, WorkPackage
from jobs.queries.survey import list_point_options
from tests.factories import (
    make_area,
    make_contact,
    make_firm,
    make_job,
    make_office,
    make_package,
    make_person,
    make_plan,
    make_room,
)

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
    job = make_job(firm, "Mill Row", state=Job.State.BOOKED)
    import_survey(job=job, draft=example_draft(list_point_options(firm)), by=office)
    return job


@pytest.fixture
def package(job):
    return WorkPackage.objects.filter(job=job, stage="first_fix").first()


def text(response) -> str:
    return response.content.decode()


def plan_span(plan: Plan, days: int, **what: object) -> Span:
    on = timezone.localdate() + timedelta(days=days)
    return Span.objects.create(
        firm=plan.firm, plan=plan, starts_on=on, starts_half="am", ends_on=on, ends_half="pm", **what
    )


def test_the_page_has_rooms_hours_visits_waits_and_materials(client, job):
    page = text(client.get(reverse("job", args=[job.pk])))
    for words in ("Front bedroom", "First fix, Ground floor", "Plasterer, Ground floor", "waits for", "Twin and earth"):
        assert words in page


def test_the_strip_is_drawn_and_told_in_words(client, firm, job, package):
    plan_span(make_plan(firm), 1, package=package)
    page = text(client.get(reverse("job", args=[job.pk])))
    assert 'fill="url(#fill-first_fix)"' in page
    assert "The programme in words" in page


def test_the_strip_waits_for_plaster_between_the_plasterer_and_second_fix(client, firm, job):
    plan_span(make_plan(firm), 1, visit=Visit.objects.filter(job=job, kind__code="plasterer").first())
    assert "<td>drying</td>" in text(client.get(reverse("job", args=[job.pk])))


def test_the_issued_plan_is_shown_when_asked_for(client, firm, job, package):
    plan_span(make_plan(firm, Plan.State.ISSUED, number=901), 1, package=package)
    plan_span(make_plan(firm, number=902), 2, package=package)
    address = reverse("job", args=[job.pk])
    assert "By plan 902, a draft" in text(client.get(address))
    assert "By plan 901, issued" in text(client.get(address, {"plan": "issued"}))


def test_the_page_takes_the_same_number_of_queries_for_more_rooms(client, firm, office, job, django_assert_num_queries):
    address = reverse("job", args=[job.pk])
    client.get(address)
    with CaptureQueriesContext(connection) as before:
        client.get(address)
    for number in range(5):
        details = {"area": job.areas.first(), "name": f"Room {number}", "kind": "bedroom"}
        add_points(
            room=add_room(job=job, details=details, by=office), quantity=2, by=office,
            kind=PointKind.objects.get(firm=firm, code="double-socket"),
        )
    with django_assert_num_queries(len(before)):
        client.get(address)


def test_own_hours_are_kept_and_the_page_comes_back(client, job, package):
    response = client.post(reverse("correct_hours", args=[job.pk, package.pk]), {"labour_hours": "12.5"})
    assert response.url == reverse("job", args=[job.pk]) + "#hours"
    assert WorkPackage.objects.get(pk=package.pk).corrected_hours == 12.5


def test_own_hours_answer_with_the_hours_alone_when_asked_by_a_fragment(client, job, package):
    response = client.post(
        reverse("correct_hours", args=[job.pk, package.pk]), {"labour_hours": "12.5"}, headers={"HX-Request": "true"}
    )
    assert text(response).lstrip().startswith('<section class="stack" id="hours"')
    assert 'value="12.50"' in text(response)


@pytest.mark.parametrize("is_fragment", [True, False])
@pytest.mark.parametrize("hours", ["-1", "many", "NaN", "99999"])
def test_own_hours_are_refused_in_words_when_they_make_no_sense(client, job, package, hours, is_fragment):
    headers = {"HX-Request": "true"} if is_fragment else {}
    response = client.post(reverse("correct_hours", args=[job.pk, package.pk]), {"labour_hours": hours}, headers=headers)
    assert response.status_code == 422
    assert f"{package}: " in text(response)


def test_the_take_off_counts_again_when_own_hours_are_emptied(client, job, package):
    WorkPackage.objects.filter(pk=package.pk).update(corrected_hours=3)
    client.post(reverse("correct_hours", args=[job.pk, package.pk]), {"labour_hours": ""})
    assert WorkPackage.objects.get(pk=package.pk).corrected_hours is None


def test_hours_left_fall_with_ticks(client, job, package):
    RoomTask.objects.filter(package=package).update(done_share=1)
    page = text(client.get(reverse("job", args=[job.pk])))
    assert 'data-label="Left">0.0 h</td>' in page


def test_a_visit_is_added(client, job, firm):
    kind = VisitKind.objects.get(firm=firm, code="tiler")
    client.post(reverse("add_visit", args=[job.pk]), {"kind": kind.pk})
    assert Visit.objects.filter(job=job, kind=kind).exists()


def test_a_visit_is_refused_at_its_field_when_the_contact_is_of_another_trade(client, job, firm):
    kind = VisitKind.objects.get(firm=firm, code="tiler")
    response = client.post(
        reverse("add_visit", args=[job.pk]), {"kind": kind.pk, "contact": make_contact(firm, "plumber").pk}
    )
    assert response.status_code == 422
    assert "this visit needs a contact of the trade" in text(response)


def test_a_wait_is_added_in_words(client, job):
    first, second = WorkPackage.objects.filter(job=job, stage="first_fix")
    client.post(
        reverse("add_wait", args=[job.pk]),
        {"after": f"package-{second.pk}", "before": f"package-{first.pk}", "lag_days": "2", "reason": "One ladder"},
    )
    page = text(client.get(reverse("job", args=[job.pk])))
    assert f"{second} waits for <strong>{first}</strong> to end, and then 2 days." in page


def test_a_circle_of_waits_is_refused(client, job):
    first_fix, second_fix = (WorkPackage.objects.filter(job=job, stage=stage).first() for stage in ("first_fix", "second_fix"))
    response = client.post(
        reverse("add_wait", args=[job.pk]),
        {"after": f"package-{first_fix.pk}", "before": f"package-{second_fix.pk}", "lag_days": "0"},
    )
    assert response.status_code == 422
    assert "circle" in text(response)


def test_a_wait_on_another_house_is_no_choice(client, firm, job):
    other = make_package(make_area(make_job(firm)))
    response = client.post(
        reverse("add_wait", args=[job.pk]), {"after": f"package-{other.pk}", "before": f"package-{other.pk}", "lag_days": "0"}
    )
    assert response.status_code == 422


def test_a_wait_is_taken_off(client, job):
    wait = Dependency.objects.filter(job=job).first()
    client.post(reverse("remove_wait", args=[job.pk, wait.pk]))
    assert not Dependency.objects.filter(pk=wait.pk).exists()


@pytest.mark.parametrize(("name", "make"), [("correct_hours", lambda job: make_package(make_area(job)))])
def test_a_package_of_another_firm_is_not_found(client, job, name, make):
    stranger = make(make_job(make_firm("Other")))
    assert client.post(reverse(name, args=[stranger.job_id, stranger.pk])).status_code == 404
    assert client.post(reverse(name, args=[job.pk, stranger.pk])).status_code == 404


def test_the_programme_takes_up_a_changed_catalogue(client, job):
    WorkPackage.objects.filter(job=job).update(labour_hours=1)
    client.post(reverse("renew_programme", args=[job.pk]))
    assert WorkPackage.objects.filter(job=job, labour_hours__gt=1).exists()


def test_snag_is_added_from_the_page_and_listed_open(client, job, package):
    room = job.rooms.first()
    form = {"room": room.pk, "stage": "second_fix", "words": "Plate crooked", "labour_hours": "1.5"}

    page = text(client.post(reverse("add_snag", args=[job.pk]), form, follow=True))

    assert "Plate crooked" in page
    assert '<span class="tag is-warn">open</span>' in page


def test_snag_form_says_what_is_wrong_beside_the_field(client, job):
    response = client.post(reverse("add_snag", args=[job.pk]), {"room": job.rooms.first().pk, "labour_hours": "1e9"})

    assert response.status_code == 422
    assert not RoomTask.objects.filter(code__startswith="snag:").exists()


def test_hours_put_right_are_shown_by_package_and_person(client, firm, job, package):
    form = {"package": package.pk, "person": make_person(firm, "Priya").pk, "on": "2026-01-12", "hours": "7.5"}

    page = text(client.post(reverse("correct_worked_hours", args=[job.pk]), form, follow=True))

    assert "Mon 12 Jan: Priya 7.50 h" in page


def test_rows_of_another_firm_are_no_choice_in_snags_and_hours(client, job):
    area = make_area(make_job(make_firm("Other")))
    theirs = {"package": make_package(area).pk, "person": make_person(area.firm).pk, "on": "2026-01-12", "hours": "1"}

    assert client.post(reverse("correct_worked_hours", args=[job.pk]), theirs).status_code == 422


def test_point_found_on_site_is_shown_with_its_effect_and_accepted(client, firm, office, job):
    details = {"point_kind": "double-socket", "quantity": 1, "circuit": "", "label": "", "height_mm": None, "words": "Customer"}
    found = report_point(room=job.rooms.first(), details=details, uid=uuid.uuid4(), by=office, at=timezone.now())
    assert re.search(r"Adds [\d.]+ h and takes", text(client.get(reverse("job", args=[job.pk]))))

    page = text(client.post(reverse("answer_variation", args=[job.pk, found.pk]), {"answer": "accept"}, follow=True))

    assert '<span class="tag is-good">accepted</span>' in page


def test_point_found_at_another_firm_cannot_be_answered(client, job):
    area = make_area(make_job(make_firm("Other", with_catalogue=True)))
    details = {"point_kind": "double-socket", "quantity": 1, "circuit": "", "label": "", "height_mm": None, "words": ""}
    theirs = report_point(room=make_room(area), details=details, uid=uuid.uuid4(), by=make_office(area.firm), at=timezone.now())

    assert client.post(reverse("answer_variation", args=[job.pk, theirs.pk]), {"answer": "accept"}).status_code == 404


def limits(**changed: object) -> dict[str, object]:
    return {"not_before_on": "2027-03-01", "most_people": "1", "must_close_same_day": "yes"} | changed


def test_limits_are_kept_and_said_on_the_page(client, job, package):
    response = client.post(reverse("limit_package", args=[job.pk, package.pk]), limits())
    assert response.url == reverse("job", args=[job.pk]) + "#hours"
    page = text(client.get(reverse("job", args=[job.pk])))
    assert "at most 1 person, not before Mon 1 Mar 2027, closed the same day" in page


@pytest.mark.parametrize(
    "changed, words",
    [
        ({"most_people": "0"}, "greater than or equal to 1"),
        ({"most_people": "40"}, "Between 1 and 12 people"),
        ({"not_before_on": "soon"}, "Enter a valid date"),
        ({"must_close_same_day": "maybe"}, "Select a valid choice"),
    ],
)
def test_bad_limits_come_back_open_and_in_words(client, job, package, changed, words):
    response = client.post(reverse("limit_package", args=[job.pk, package.pk]), limits(**changed))
    assert (response.status_code, WorkPackage.objects.get(pk=package.pk).most_people) == (422, 3)
    assert words in text(response)
    assert '<details class="limits" open>' in text(response)


def test_limits_of_another_firm_are_not_found(client, job):
    other = make_package(make_area(make_job(make_firm("Other"))))
    assert client.post(reverse("limit_package", args=[other.job_id, other.pk]), limits()).status_code == 404


def choose(client, job, person, on_job: str):
    return client.post(reverse("choose_person", args=[job.pk]), {"person": person, "is_excluded": on_job})


def test_preferred_and_kept_off_people_stand_on_the_page(client, firm, job):
    choose(client, job, make_person(firm, "Priya").pk, "wanted")
    assert choose(client, job, make_person(firm, "Sam").pk, "off").url == reverse("job", args=[job.pk]) + "#people"
    page = text(client.get(reverse("job", args=[job.pk])))
    assert 'Priya <span class="tag is-good">preferred' in page
    assert 'Sam <span class="tag is-bad">kept off' in page


@pytest.mark.parametrize("on_job", ["wanted", "perhaps"])
def test_bad_choice_of_a_person_comes_back_in_words(client, job, on_job):
    response = choose(client, job, make_person(make_firm("Other")).pk, on_job)
    assert response.status_code == 422
    assert "Select a valid choice" in text(response)


def test_choice_of_a_person_is_removed(client, firm, job):
    choose(client, job, make_person(firm).pk, "off")
    client.post(reverse("drop_choice", args=[job.pk, PersonChoice.objects.get().pk]))
    assert not PersonChoice.objects.exists()


def test_choice_of_a_person_of_another_firm_is_not_found(client):
    other = make_firm("Other")
    choice = PersonChoice.objects.create(firm=other, job=make_job(other), person=make_person(other))
    assert client.post(reverse("drop_choice", args=[choice.job_id, choice.pk])).status_code == 404

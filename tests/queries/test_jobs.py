from datetime import timedelta

import pytest

from jobs.models import Booking, Job, Span
from jobs.queries.jobs import count_past_jobs, list_customers, list_job_cards
from tests.factories import TODAY, make_area, make_contact, make_firm, make_job, make_package, make_person, make_plan, make_visit

pytestmark = pytest.mark.django_db


def put(plan, days: int, **what: object) -> None:
    on = TODAY + timedelta(days=days)
    Span.objects.create(firm=plan.firm, plan=plan, starts_on=on, starts_half="am", ends_on=on, ends_half="pm", **what)


def test_jobs_on_site_come_first_and_past_jobs_apart(firm):
    for name, state in (("Ash", "surveyed"), ("Birch", "on_site"), ("Cedar", "booked"), ("Elm", "handed_over")):
        make_job(firm, name, state=state)
    assert [card.job.name for card in list_job_cards(firm, None, TODAY)] == ["Birch", "Cedar", "Ash"]
    assert [card.job.name for card in list_job_cards(firm, None, TODAY, are_current=False)] == ["Elm"]
    assert count_past_jobs(firm) == 1


def test_another_firm_s_jobs_are_not_listed(firm):
    make_job(make_firm("Other"))
    assert list_job_cards(firm, None, TODAY) == []


def test_next_dates_are_those_still_to_come(firm):
    job, plan = make_job(firm), make_plan(firm)
    package, person = make_package(make_area(job)), make_person(firm)
    for days in (-1, 2, 3):
        Booking.objects.create(
            firm=firm, plan=plan, person=person, package=package, on=TODAY + timedelta(days=days), half="am", hours=4
        )
    put(plan, 3, package=package)
    put(plan, -2, visit=make_visit(job))
    put(plan, 1, visit=make_visit(job, state="cancelled"))
    wanted = make_visit(job)
    put(plan, 5, visit=wanted)
    (card,) = list_job_cards(firm, plan, TODAY)
    assert (card.next_booked_on, card.ends_on) == (TODAY + timedelta(days=2), TODAY + timedelta(days=3))
    assert (card.next_visit, card.next_visit_on) == (wanted, TODAY + timedelta(days=5))


@pytest.mark.parametrize(("promised_in", "is_late"), [(2, True), (3, False), (None, False)])
def test_a_job_is_late_when_its_plan_ends_after_the_promise(firm, promised_in, is_late):
    promised = None if promised_in is None else TODAY + timedelta(days=promised_in)
    job, plan = make_job(firm, promised_finish_on=promised, state=Job.State.BOOKED), make_plan(firm)
    put(plan, 3, package=make_package(make_area(job)))
    assert list_job_cards(firm, plan, TODAY)[0].is_late == is_late


def test_customers_are_the_firm_s_contacts_of_that_kind(firm):
    customer = make_contact(firm, "customer")
    make_contact(firm, "plumber")
    make_contact(make_firm("Other"), "customer")
    assert list(list_customers(firm)) == [customer]

"""Asking for a plan, making it, stopping it, refreshing the draft."""

from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions import planning
from jobs.actions.permission import Refused
from jobs.models import Absence, Booking, Dependency, OutboxEntry, Person, Plan, PlanRun
from jobs.outbox import run_due
from tests.factories import NOW, TODAY, make_crew_user, make_firm, make_office, make_person
from tests.planning import make_working_firm

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    return make_working_firm()


@pytest.fixture
def office(job):
    return make_office(job.firm)


def ask(office, seconds: int = 1) -> PlanRun:
    return planning.plan_again(firm=office.firm, by=office, seconds=seconds, now=NOW)


def test_asking_lays_one_run_in_the_outbox(office):
    run = ask(office)
    assert OutboxEntry.objects.get(task="run_planner").payload == {"run_pk": run.pk}
    assert run.state == PlanRun.State.WAITING


def test_second_planner_is_told_who_plans(office):
    ask(office)
    with pytest.raises(Refused, match="Olwen is planning already"):
        ask(make_office(office.firm))


def test_new_run_starts_when_the_old_one_died_with_its_worker(office):
    run = ask(office)
    PlanRun.objects.filter(pk=run.pk).update(state=PlanRun.State.RUNNING, started_at=NOW - timedelta(minutes=10))
    ask(office)
    run.refresh_from_db()
    assert run.state == PlanRun.State.FAILED


@pytest.mark.parametrize("seconds", [0, 121])
def test_asking_is_refused_when_the_time_is_out_of_bounds(office, seconds):
    with pytest.raises(Refused, match="1 to 120 seconds"):
        ask(office, seconds)


def test_crew_and_other_firms_may_not_plan(office):
    crew = make_crew_user(make_person(office.firm))
    for by in (crew, make_office(make_firm("Other"))):
        with pytest.raises(PermissionDenied):
            planning.plan_again(firm=office.firm, by=by, seconds=1, now=NOW)


def test_run_makes_a_draft_that_keeps_the_rules(office):
    run = planning.run_planner(run_pk=ask(office).pk, now=NOW)
    draft = Plan.objects.get(firm=office.firm)
    assert (run.state, run.plan, draft.state) == (PlanRun.State.DONE, draft, Plan.State.DRAFT)
    assert draft.facts["broken"] == []


def test_draft_has_bookings_spans_and_reasons(office):
    planning.run_planner(run_pk=ask(office).pk, now=NOW)
    draft = Plan.objects.get(firm=office.firm)
    assert draft.spans.count() == 3
    assert all(span.cause["words"] for span in draft.spans.all())
    assert sum(row.hours for row in draft.bookings.filter(person__grade="electrician")) >= 16


def test_outbox_runs_the_planner(office):
    run = ask(office)
    run_due(NOW)
    run.refresh_from_db()
    assert (run.state, run.plan.state) == (PlanRun.State.DONE, Plan.State.DRAFT)


def test_finished_run_does_nothing_when_it_is_started_again(office):
    run = planning.run_planner(run_pk=ask(office).pk, now=NOW)
    version = run.plan.version
    planning.run_planner(run_pk=run.pk, now=NOW)
    run.plan.refresh_from_db()
    assert run.plan.version == version


def test_stopped_run_keeps_the_best_plan_it_has(office):
    run = ask(office, seconds=60)
    planning.stop_run(run=run, by=office)
    run = planning.run_planner(run_pk=run.pk, now=NOW)
    assert (run.state, run.plan.bookings.exists()) == (PlanRun.State.STOPPED, True)


def test_hand_change_during_a_run_wins(office, monkeypatch):
    def change_meanwhile(run, quick, before, spreads):
        Plan.objects.filter(firm=office.firm).update(version=99)
        return quick

    monkeypatch.setattr(planning, "_improve", change_meanwhile)
    run = planning.run_planner(run_pk=ask(office).pk, now=NOW)
    assert "Someone changed the draft meanwhile" in run.message
    assert run.plan.version == 99


def test_failing_run_says_so_and_leaves_the_draft(office, monkeypatch):
    planning.run_planner(run_pk=ask(office).pk, now=NOW)
    monkeypatch.setattr(planning, "load_problem", None)
    run = ask(office)
    with pytest.raises(TypeError):
        planning.run_planner(run_pk=run.pk, now=NOW)
    run.refresh_from_db()
    assert (run.state, Booking.objects.exists()) == (PlanRun.State.FAILED, True)


def test_circle_of_waits_is_told_and_the_draft_stands(job, office):
    planning.run_planner(run_pk=ask(office).pk, now=NOW)
    first, second = job.packages.all()
    for before, after in ((first, second), (second, first)):
        Dependency.objects.create(firm=job.firm, job=job, before_package=before, after_package=after)
    run = planning.run_planner(run_pk=ask(office).pk, now=NOW)
    assert "wait for each other in a circle" in run.message
    assert Booking.objects.exists()


def test_past_of_the_week_stays_as_issued(job, office):
    planning.run_planner(run_pk=ask(office).pk, now=NOW)
    issued = Plan.objects.get()
    Plan.objects.update(state=Plan.State.ISSUED, issued_at=NOW)
    first_on = issued.bookings.first().on
    planning.run_planner(run_pk=ask(office).pk, now=NOW + timedelta(days=1))
    draft = Plan.objects.get(state=Plan.State.DRAFT)
    assert draft.bookings.filter(on=first_on).exists()


def test_refresh_follows_an_absence(job, office):
    planning.run_planner(run_pk=ask(office).pk, now=NOW)
    edda = Person.objects.get(name="Edda Marsh")
    Absence.objects.create(firm=job.firm, person=edda, kind="sick", starts_on=TODAY, ends_on=TODAY)
    draft = planning.refresh_draft(firm=job.firm, by=office, now=NOW)
    assert not draft.bookings.filter(on=TODAY).exists()


def test_refresh_waits_while_somebody_plans(job, office):
    ask(office)
    with pytest.raises(Refused, match="Olwen is planning already"):
        planning.refresh_draft(firm=job.firm, by=office, now=NOW)


def test_refresh_says_why_no_plan_can_be_made(job, office):
    Person.objects.all().update(is_active=False)
    with pytest.raises(Refused):
        planning.refresh_draft(firm=job.firm, by=office, now=NOW)


def test_crew_may_not_refresh(job):
    with pytest.raises(PermissionDenied):
        planning.refresh_draft(firm=job.firm, by=make_crew_user(make_person(job.firm)), now=NOW)


def test_planning_again_moves_nothing_when_nothing_happened(office, job):
    planning.run_planner(run_pk=ask(office).pk, now=NOW)
    places = ("person", "package", "on", "half", "hours", "is_alongside")
    first = set(Plan.objects.get(firm=office.firm).bookings.values_list(*places))
    planning.refresh_draft(firm=office.firm, by=office, now=NOW)
    assert set(Plan.objects.get(firm=office.firm).bookings.values_list(*places)) == first

"""Holding a visit of another trade by hand."""

from datetime import date

import pytest

from jobs.actions.hand_moves import remove_pin, undo_last_move
from jobs.actions.permission import Refused
from jobs.actions.visit_holds import hold_visit
from jobs.actions.visits import agree_visit
from jobs.core.planning import quick_plan
from jobs.models import Dependency, Pin, Plan, Visit
from jobs.queries.planning import load_problem
from jobs.queries.planning_keys import visit_key
from tests.factories import NOW, TODAY, make_contact, make_office, make_plan
from tests.planning import make_working_firm, span

pytestmark = pytest.mark.django_db
WEDNESDAY, FRIDAY, MONDAY = date(2027, 1, 13), date(2027, 1, 15), date(2027, 1, 18)
THURSDAY_AFTER, FRIDAY_AFTER = date(2027, 1, 21), date(2027, 1, 22)


@pytest.fixture
def job():
    return make_working_firm()


@pytest.fixture
def office(job):
    return make_office(job.firm)


@pytest.fixture
def visit(job) -> Visit:
    return job.visits.select_related("firm", "kind", "job").get()


@pytest.fixture
def draft(job, visit) -> Plan:
    """The first fix until Wednesday, the plasterer for two days from Friday."""
    plan = make_plan(job.firm)
    span(plan, job.packages.first(), TODAY, WEDNESDAY)
    span(plan, visit, FRIDAY, MONDAY)
    return plan


def hold(visit: Visit, draft: Plan, office, on: date = THURSDAY_AFTER, half: str = "am"):
    draft.refresh_from_db()
    return hold_visit(visit=visit, on=on, half=half, version=draft.version, by=office, now=NOW)


def place(draft: Plan, visit: Visit) -> tuple[date, str, date, str]:
    row = draft.spans.get(visit=visit)
    return row.starts_on, row.starts_half, row.ends_on, row.ends_half


def test_visit_stands_and_lasts_where_it_was_put_when_held(visit, draft, office):
    moved = hold(visit, draft, office)
    assert place(draft, visit) == (THURSDAY_AFTER, "am", FRIDAY_AFTER, "pm")
    assert "now held for Thursday 21 January, morning" in moved.words


def test_next_plan_keeps_the_visit_there_when_held(job, visit, draft, office):
    hold(visit, draft, office)
    problem = load_problem(job.firm, TODAY)
    first = quick_plan(problem).spans[visit_key(visit.pk)].first
    assert problem.sessions.on(first) == THURSDAY_AFTER


def test_what_a_hold_breaks_is_told_and_kept_when_it_comes_too_soon(job, visit, draft, office):
    Dependency.objects.create(firm=job.firm, job=job, before_package=job.packages.first(), after_visit=visit)
    moved = hold(visit, draft, office, WEDNESDAY)
    assert any("too early after First fix" in words for words in moved.breaks)
    draft.refresh_from_db()
    assert any("too early after First fix" in rule["words"] for rule in draft.facts["broken"])


def test_draft_is_made_of_the_issued_plan_when_there_is_none(visit, draft, office):
    Plan.objects.filter(pk=draft.pk).update(state=Plan.State.ISSUED, issued_at=NOW)
    moved = hold(visit, draft, office)
    assert moved.plan.state == Plan.State.DRAFT
    assert place(draft, visit)[0] == FRIDAY


def test_visit_goes_back_when_the_hold_is_undone(job, visit, draft, office):
    hold(visit, draft, office)
    draft.refresh_from_db()
    undo_last_move(firm=job.firm, version=draft.version, by=office, now=NOW)
    assert place(draft, visit) == (FRIDAY, "am", MONDAY, "pm")
    assert not Pin.objects.exists()


def test_earlier_hold_stands_again_when_a_later_one_is_undone(job, visit, draft, office):
    hold(visit, draft, office)
    hold(visit, draft, office, FRIDAY_AFTER)
    draft.refresh_from_db()
    undo_last_move(firm=job.firm, version=draft.version, by=office, now=NOW)
    assert [pin.on for pin in Pin.objects.all()] == [THURSDAY_AFTER]
    assert place(draft, visit)[0] == THURSDAY_AFTER


def test_visit_stays_until_the_next_plan_when_let_go(visit, draft, office):
    hold(visit, draft, office)
    moved = remove_pin(pin=Pin.objects.get(), by=office, now=NOW)
    assert "no longer held" in moved.words
    assert place(draft, visit)[0] == THURSDAY_AFTER


def test_hold_gives_way_when_a_date_is_agreed(job, visit, draft, office):
    hold(visit, draft, office)
    Visit.objects.filter(pk=visit.pk).update(contact=make_contact(job.firm))
    agree_visit(visit=visit, starts_on=FRIDAY_AFTER, starts_half="am", by=office, now=NOW)
    assert not Pin.objects.exists()


@pytest.mark.parametrize(
    ("state", "words"), [("accepted", "agreed with the trade"), ("done", "is done"), ("cancelled", "is cancelled")]
)
def test_hold_is_refused_when_the_date_is_not_the_offices_alone(visit, draft, office, state, words):
    Visit.objects.filter(pk=visit.pk).update(state=state, starts_on=FRIDAY)
    visit.refresh_from_db()
    with pytest.raises(Refused, match=words):
        hold(visit, draft, office)


@pytest.mark.parametrize(
    ("on", "words"), [(date(2027, 1, 16), "Nobody works on"), (date(2027, 1, 11), "is over"), (date(2040, 1, 5), "further ahead")]
)
def test_hold_is_refused_when_nothing_can_be_put_there(visit, draft, office, on, words):
    with pytest.raises(Refused, match=words):
        hold(visit, draft, office, on)
    assert not Pin.objects.exists()


def test_nothing_is_lost_when_someone_changed_the_draft_meanwhile(visit, draft, office):
    with pytest.raises(Refused, match="changed the draft meanwhile"):
        hold_visit(visit=visit, on=THURSDAY_AFTER, half="am", version=draft.version + 1, by=office, now=NOW)


def test_hold_is_refused_when_no_plan_has_the_visit(job, visit, office):
    with pytest.raises(Refused, match="no plan yet"):
        hold_visit(visit=visit, on=THURSDAY_AFTER, half="am", version=0, by=office, now=NOW)


def test_planning_goes_on_when_a_held_visit_is_cancelled(job, visit, draft, office):
    hold(visit, draft, office)
    Visit.objects.filter(pk=visit.pk).update(state=Visit.State.CANCELLED)
    assert not load_problem(job.firm, TODAY).pins

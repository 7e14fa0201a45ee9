"""Moves by hand."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.hand_moves import move_booking, remove_pin, undo_last_move
from jobs.actions.permission import Refused
from jobs.models import Absence, Booking, Person, Pin, Plan
from jobs.queries.planning import load_problem
from tests.factories import NOW, TODAY, make_crew_user, make_firm, make_office, make_person, make_plan
from tests.planning import book, make_working_firm, span

pytestmark = pytest.mark.django_db
WEDNESDAY = date(2027, 1, 13)
THURSDAY = date(2027, 1, 14)


@pytest.fixture
def job():
    return make_working_firm()


@pytest.fixture
def office(job):
    return make_office(job.firm)


@pytest.fixture
def edda(job):
    return Person.objects.get(name="Edda Marsh")


@pytest.fixture
def draft(job, edda):
    """Edda on the first fix from Tuesday to Wednesday, the plasterer on Friday, her second fix on Monday."""
    plan = make_plan(job.firm)
    first, second = job.packages.all()
    for on in (TODAY, WEDNESDAY):
        for half in ("am", "pm"):
            book(plan, edda, first, on, half)
    for half in ("am", "pm"):
        book(plan, edda, second, date(2027, 1, 18), half)
    span(plan, first, TODAY, WEDNESDAY)
    span(plan, job.visits.get(), date(2027, 1, 15), date(2027, 1, 18))
    span(plan, second, date(2027, 1, 18))
    return plan


def booking_on(plan, on, half="am") -> Booking:
    return plan.bookings.select_related("firm", "plan", "person", "package__area", "package__job").get(on=on, half=half)


def move(office, booking, on, half="am", person=None, **fields):
    fields.setdefault("version", booking.plan.version)
    return move_booking(
        booking=booking, on=on, half=half, person=person or booking.person, by=office, now=NOW, **fields
    )


def test_moved_booking_is_pinned_where_it_was_put(office, draft, edda):
    move(office, booking_on(draft, WEDNESDAY, "pm"), THURSDAY)
    pin = Pin.objects.get()
    assert (pin.on, pin.half, pin.person, pin.was_on, pin.was_half) == (THURSDAY, "am", edda, WEDNESDAY, "pm")
    assert booking_on(draft, THURSDAY).package == pin.package


def test_span_follows_the_bookings_it_covers(office, draft, job):
    move(office, booking_on(draft, WEDNESDAY, "pm"), THURSDAY)
    row = draft.spans.get(package=job.packages.first())
    assert (row.ends_on, row.ends_half) == (THURSDAY, "am")


def test_move_says_in_words_what_it_breaks_and_the_plan_keeps_saying_it(office, draft, edda):
    Absence.objects.create(firm=draft.firm, person=edda, kind="sick", starts_on=THURSDAY, ends_on=THURSDAY)
    moved = move(office, booking_on(draft, WEDNESDAY, "pm"), THURSDAY)
    expected = "Edda Marsh is sick on Thu 14 Jan am but booked on First fix, Upstairs, Mill Lane."
    assert expected in moved.breaks
    draft.refresh_from_db()
    assert expected in [rule["words"] for rule in draft.facts["broken"]]


def test_move_that_breaks_nothing_says_nothing(office, draft):
    assert move(office, booking_on(draft, WEDNESDAY, "pm"), THURSDAY).breaks == ()


def test_planners_figures_go_when_a_hand_changes_the_plan(office, draft):
    draft.facts = {"objective": [0, 0, 0, 9], "gap": 0.0, "broken": []}
    draft.save()
    move(office, booking_on(draft, WEDNESDAY, "pm"), THURSDAY)
    draft.refresh_from_db()
    assert draft.facts == {"broken": [], "conflicts": []}


def test_whole_day_moves_together(office, draft):
    move(office, booking_on(draft, WEDNESDAY), THURSDAY, whole_day=True)
    assert draft.bookings.filter(on=THURSDAY).count() == 2
    assert Pin.objects.count() == 2


def test_stale_move_is_refused_and_nothing_is_lost(office, draft):
    stale = booking_on(draft, WEDNESDAY)
    move(office, booking_on(draft, WEDNESDAY, "pm"), THURSDAY)
    with pytest.raises(Refused, match="Someone changed the draft"):
        move(office, stale, THURSDAY, "pm", version=1)
    assert booking_on(draft, THURSDAY) is not None


@pytest.mark.parametrize(
    "on, half, words",
    [
        (date(2027, 1, 16), "am", "Nobody works on Saturday 16 January"),
        (date(2027, 1, 11), "am", "over"),
        (WEDNESDAY, "pm", "on that work then already"),
    ],
    ids=["rest day", "past", "already there"],
)
def test_impossible_move_is_refused_with_what_to_do(office, draft, on, half, words):
    with pytest.raises(Refused, match=words):
        move(office, booking_on(draft, WEDNESDAY), on, half)
    assert not Pin.objects.exists()


def test_move_to_someone_who_left_is_refused(office, draft):
    with pytest.raises(Refused, match="no longer works for you"):
        move(office, booking_on(draft, WEDNESDAY), THURSDAY, person=make_person(draft.firm, is_active=False))


def test_move_of_the_issued_plan_starts_a_draft_of_it(office, draft):
    Plan.objects.update(state=Plan.State.ISSUED, issued_at=NOW)
    moved = move(office, booking_on(draft, WEDNESDAY, "pm"), THURSDAY)
    assert moved.plan.state == Plan.State.DRAFT
    assert draft.bookings.filter(on=WEDNESDAY).count() == 2
    assert moved.plan.bookings.filter(on=WEDNESDAY).count() == 1


def test_undo_puts_the_booking_back_and_lets_go_of_it(office, draft):
    move(office, booking_on(draft, WEDNESDAY, "pm"), THURSDAY)
    undone = undo_last_move(firm=draft.firm, version=2, by=office, now=NOW)
    assert booking_on(draft, WEDNESDAY, "pm") is not None
    assert not Pin.objects.exists()
    assert "back to Edda Marsh, Wednesday 13 January, afternoon" in undone.words


def test_undo_takes_a_whole_day_back(office, draft):
    move(office, booking_on(draft, WEDNESDAY), THURSDAY, whole_day=True)
    undo_last_move(firm=draft.firm, version=2, by=office, now=NOW)
    assert draft.bookings.filter(on=WEDNESDAY).count() == 2


def test_undo_of_a_second_move_holds_the_booking_at_the_first(office, draft):
    move(office, booking_on(draft, WEDNESDAY, "pm"), THURSDAY)
    move(office, booking_on(draft, THURSDAY), THURSDAY, "pm")
    undo_last_move(firm=draft.firm, version=3, by=office, now=NOW + timedelta(minutes=1))
    assert [(pin.on, pin.half) for pin in Pin.objects.all()] == [(THURSDAY, "am")]


def test_undo_only_lets_go_when_a_later_plan_moved_it(office, draft):
    move(office, booking_on(draft, WEDNESDAY, "pm"), THURSDAY)
    draft.bookings.filter(on=THURSDAY).delete()
    undone = undo_last_move(firm=draft.firm, version=2, by=office, now=NOW)
    assert "A later plan had moved it" in undone.words


def test_undo_without_a_move_is_refused(office, draft):
    with pytest.raises(Refused, match="no hand move"):
        undo_last_move(firm=draft.firm, version=1, by=office, now=NOW)


def test_removed_pin_leaves_the_booking_where_it_is(office, draft):
    move(office, booking_on(draft, WEDNESDAY, "pm"), THURSDAY)
    remove_pin(pin=Pin.objects.get(), by=office, now=NOW)
    assert booking_on(draft, THURSDAY) is not None
    assert not Pin.objects.exists()


def test_pin_can_go_when_there_is_no_draft(office, draft):
    move(office, booking_on(draft, WEDNESDAY, "pm"), THURSDAY)
    Plan.objects.update(state=Plan.State.ISSUED, issued_at=NOW)
    assert remove_pin(pin=Pin.objects.get(), by=office, now=NOW).plan is None


def test_crew_and_other_firms_may_not_move(draft, edda):
    for by in (make_crew_user(edda), make_office(make_firm("Other"))):
        with pytest.raises(PermissionDenied):
            move(by, booking_on(draft, WEDNESDAY, "pm"), THURSDAY)


def test_booking_cannot_go_to_another_firms_person(office, draft):
    with pytest.raises(PermissionDenied):
        move(office, booking_on(draft, WEDNESDAY, "pm"), THURSDAY, person=make_person(make_firm("Other")))


def test_who_goes_alongside_is_held_alongside_when_moved_by_hand(job, office, draft):
    tom = Person.objects.get(name="Tom Reed")
    beside = book(draft, tom, job.packages.first(), TODAY, is_alongside=True)
    move(office, draft.bookings.select_related("firm", "plan", "person", "package__job").get(pk=beside.pk), WEDNESDAY)
    assert Pin.objects.get().is_alongside
    assert load_problem(job.firm, TODAY).pins[0].is_alongside

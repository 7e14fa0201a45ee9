from datetime import UTC, date, datetime, timedelta

import pytest

from jobs.actions.calendar_entries import renew_entries
from jobs.core.stages import Half, Stage
from jobs.models import Booking, CalendarEntry, Firm, Plan, Span, Visit
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_contact,
    make_firm,
    make_job,
    make_package,
    make_person,
    make_plan,
    make_visit,
    make_visit_kind,
)

pytestmark = pytest.mark.django_db

TOMORROW = TODAY + timedelta(days=1)
LATER = NOW + timedelta(hours=1)
AM, PM = Half.MORNING, Half.AFTERNOON


def book(plan: Plan, person, package, on: date, *halves: str) -> None:
    for half in halves or (AM, PM):
        Booking.objects.create(
            firm=plan.firm, plan=plan, person=person, package=package, on=on, half=half, hours=4
        )


def lay(plan: Plan, visit: Visit, starts_on: date, ends_on: date, starts_half: str = AM, ends_half: str = PM) -> Span:
    return Span.objects.create(
        firm=plan.firm, plan=plan, visit=visit,
        starts_on=starts_on, starts_half=starts_half, ends_on=ends_on, ends_half=ends_half,
    )


@pytest.fixture
def plan() -> Plan:
    return make_plan(make_firm(), Plan.State.ISSUED)


@pytest.fixture
def package(plan):
    job = make_job(plan.firm, "Mill Row", address="4 Mill Row\nHexby", postcode="HX1 2AB")
    return make_package(make_area(job, "Upstairs"))


@pytest.fixture
def asha(plan):
    return make_person(plan.firm, "Asha")


def make_plasterer(plan: Plan, package, **fields: object) -> Visit:
    kind = make_visit_kind(plan.firm, "plastering", name="Plastering")
    return make_visit(package.job, make_contact(plan.firm), kind, area=package.area, **fields)


def test_working_day_is_one_timed_event_when_both_halves_are_on_one_job(plan, package, asha):
    book(plan, asha, package, TOMORROW)
    renew_entries(plan=plan, now=NOW)
    entry = CalendarEntry.objects.get()
    assert (entry.starts_at.hour, entry.ends_at.strftime("%H:%M"), entry.is_all_day) == (8, "16:30", False)
    assert (entry.summary, entry.place) == ("Mill Row: First fix, Upstairs", "4 Mill Row, Hexby, HX1 2AB")


def test_half_day_is_exactly_the_half_when_only_that_is_booked(plan, package, asha):
    book(plan, asha, package, TOMORROW, PM)
    renew_entries(plan=plan, now=NOW)
    entry = CalendarEntry.objects.get()
    assert (entry.starts_at.strftime("%H:%M"), entry.ends_at.strftime("%H:%M")) == ("12:30", "16:30")


def test_each_job_has_its_event_when_a_day_is_split_between_two(plan, package, asha):
    other = make_package(make_area(make_job(plan.firm, "Elm House")), Stage.TEST)
    book(plan, asha, package, TOMORROW, AM)
    book(plan, asha, other, TOMORROW, PM)
    renew_entries(plan=plan, now=NOW)
    assert [entry.summary for entry in CalendarEntry.objects.all()] == [
        "Mill Row: First fix, Upstairs", "Elm House: Test, Ground floor"
    ]


def test_one_event_names_both_packages_when_a_half_is_shared(plan, package, asha):
    second = make_package(make_area(package.job, "Loft"))
    book(plan, asha, package, TOMORROW, AM)
    book(plan, asha, second, TOMORROW, AM)
    renew_entries(plan=plan, now=NOW)
    assert CalendarEntry.objects.get().description == "First fix, Upstairs\nFirst fix, Loft"


def test_mates_are_named_when_two_work_on_one_job(plan, package, asha):
    book(plan, asha, package, TOMORROW)
    book(plan, make_person(plan.firm, "Ben"), package, TOMORROW)
    renew_entries(plan=plan, now=NOW)
    assert CalendarEntry.objects.get(person=asha).description.endswith("With Ben.")


def test_visit_is_one_all_day_span_per_unbroken_run_when_longer_than_a_day(plan, package):
    visit = make_plasterer(plan, package)
    lay(plan, visit, date(2027, 1, 14), date(2027, 1, 19))
    renew_entries(plan=plan, now=NOW)
    runs = CalendarEntry.objects.values_list("key", "starts_at__day", "ends_at__day", "is_all_day")
    assert list(runs) == [(f"visit:{visit.pk}:1", 14, 16, True), (f"visit:{visit.pk}:2", 18, 20, True)]


def test_visit_is_timed_when_a_day_or_less(plan, package):
    lay(plan, make_plasterer(plan, package), TOMORROW, TOMORROW, ends_half=AM)
    renew_entries(plan=plan, now=NOW)
    entry = CalendarEntry.objects.get()
    assert (entry.is_all_day, entry.ends_at.strftime("%H:%M")) == (False, "12:00")


def test_visit_is_tentative_until_the_trade_has_agreed(plan, package):
    visit = make_plasterer(plan, package)
    lay(plan, visit, TOMORROW, TOMORROW)
    renew_entries(plan=plan, now=NOW)
    assert CalendarEntry.objects.get().is_tentative
    Visit.objects.update(state=Visit.State.ACCEPTED, starts_on=TOMORROW)
    renew_entries(plan=plan, now=LATER)
    assert not CalendarEntry.objects.get().is_tentative


def test_agreed_visit_stays_tentative_when_it_covers_work_nobody_has_recorded(plan, package):
    visit = make_plasterer(plan, package, state=Visit.State.ACCEPTED, starts_on=TOMORROW)
    visit.kind.covers_up = True
    visit.kind.save()
    lay(plan, visit, TOMORROW, TOMORROW)
    renew_entries(plan=plan, now=NOW)
    entry = CalendarEntry.objects.get()
    assert (entry.is_tentative, "final go-ahead will follow" in entry.description) == (True, True)


@pytest.mark.parametrize("state", [Visit.State.DECLINED, Visit.State.CANCELLED])
def test_visit_leaves_the_calendar_when_it_will_not_take_place(plan, package, state):
    visit = make_plasterer(plan, package)
    lay(plan, visit, TOMORROW, TOMORROW)
    renew_entries(plan=plan, now=NOW)
    Visit.objects.update(state=state)
    renew_entries(plan=plan, now=LATER)
    assert CalendarEntry.objects.get().is_gone


def test_identity_stays_and_sequence_rises_when_times_change(plan, package, asha):
    book(plan, asha, package, TOMORROW, AM)
    renew_entries(plan=plan, now=NOW)
    before = CalendarEntry.objects.get()
    book(plan, asha, package, TOMORROW, PM)
    renew_entries(plan=plan, now=LATER)
    after = CalendarEntry.objects.get()
    assert (after.uid, after.sequence, after.revised_at) == (before.uid, before.sequence + 1, LATER)


def test_only_the_revision_moves_when_words_change(plan, package, asha):
    book(plan, asha, package, TOMORROW)
    renew_entries(plan=plan, now=NOW)
    package.area.name = "First floor"
    package.area.save()
    renew_entries(plan=plan, now=LATER)
    entry = CalendarEntry.objects.get()
    assert (entry.sequence, entry.revised_at, entry.summary) == (0, LATER, "Mill Row: First fix, First floor")


def test_nothing_changes_when_the_plan_is_the_same(plan, package, asha):
    book(plan, asha, package, TOMORROW)
    renew_entries(plan=plan, now=NOW)
    version = Firm.objects.get().calendar_version
    assert renew_entries(plan=plan, now=LATER) == 0
    assert (Firm.objects.get().calendar_version, CalendarEntry.objects.get().revised_at) == (version, NOW)


def test_feeds_have_a_new_version_when_anything_changes(plan, package, asha):
    book(plan, asha, package, TOMORROW)
    version = Firm.objects.get().calendar_version
    renew_entries(plan=plan, now=NOW)
    assert Firm.objects.get().calendar_version == version + 1


def test_entry_is_gone_when_the_plan_drops_it(plan, package, asha):
    book(plan, asha, package, TOMORROW)
    renew_entries(plan=plan, now=NOW)
    plan.bookings.all().delete()
    renew_entries(plan=plan, now=LATER)
    entry = CalendarEntry.objects.get()
    assert (entry.is_gone, entry.sequence) == (True, 1)


def test_entry_comes_back_as_itself_when_the_plan_takes_it_up_again(plan, package, asha):
    book(plan, asha, package, TOMORROW)
    renew_entries(plan=plan, now=NOW)
    before = CalendarEntry.objects.get()
    plan.bookings.all().delete()
    renew_entries(plan=plan, now=LATER)
    book(plan, asha, package, TOMORROW)
    renew_entries(plan=plan, now=LATER)
    after = CalendarEntry.objects.get()
    assert (after.uid, after.is_gone, after.sequence) == (before.uid, False, 2)


def test_finished_day_stays_when_a_later_plan_no_longer_holds_it(plan, package, asha):
    book(plan, asha, package, TODAY - timedelta(days=1))
    renew_entries(plan=plan, now=NOW - timedelta(days=2))
    plan.bookings.all().delete()
    renew_entries(plan=plan, now=NOW)
    assert not CalendarEntry.objects.get().is_gone


def test_morning_is_eight_o_clock_on_both_sides_of_the_clock_change(plan, package, asha):
    for on in (date(2027, 3, 26), date(2027, 3, 30)):
        book(plan, asha, package, on, AM)
    renew_entries(plan=plan, now=NOW)
    starts = CalendarEntry.objects.values_list("starts_at", flat=True)
    assert list(starts) == [datetime(2027, 3, 26, 8, tzinfo=UTC), datetime(2027, 3, 30, 7, tzinfo=UTC)]


def test_other_firms_entries_stay_when_one_firm_renews(plan, package, asha):
    book(plan, asha, package, TOMORROW)
    renew_entries(plan=plan, now=NOW)
    renew_entries(plan=make_plan(make_firm("Other"), Plan.State.ISSUED), now=LATER)
    assert not CalendarEntry.objects.get().is_gone


def test_queries_stay_the_same_in_number_when_a_plan_grows(plan, package, asha, django_assert_num_queries):
    visit = make_plasterer(plan, package)
    lay(plan, visit, TOMORROW, TOMORROW)
    for day in range(10):
        book(plan, asha, package, TOMORROW + timedelta(days=day))
    plan = Plan.objects.select_related("firm").get(pk=plan.pk)
    with django_assert_num_queries(10):
        renew_entries(plan=plan, now=NOW)

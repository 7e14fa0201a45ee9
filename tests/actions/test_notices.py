from datetime import date, timedelta

import pytest
from django.core import mail
from django.core.exceptions import PermissionDenied

from jobs.actions.mailing import send_notice
from jobs.actions.notices import write_notices
from jobs.core.stages import Half
from jobs.models import Booking, Delivery, Notice, OutboxEntry, Plan, Span, ToldDate, Visit
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_contact,
    make_firm,
    make_job,
    make_office,
    make_package,
    make_person,
    make_plan,
    make_visit,
    make_visit_kind,
)

pytestmark = pytest.mark.django_db

TOMORROW, FRIDAY = date(2027, 1, 13), date(2027, 1, 15)
NEXT_FRIDAY, IN_THREE_WEEKS = date(2027, 1, 22), date(2027, 2, 2)
LATER = NOW + timedelta(hours=3)


@pytest.fixture
def plan() -> Plan:
    return make_plan(make_firm(), Plan.State.ISSUED)


@pytest.fixture
def office(plan):
    return make_office(plan.firm)


@pytest.fixture
def job(plan):
    return make_job(plan.firm, "Mill Row")


@pytest.fixture
def plasterer(plan):
    return make_contact(plan.firm, name="Pat", email="pat@trades.example")


@pytest.fixture
def visit(plan, job, plasterer):
    return make_visit(job, plasterer, make_visit_kind(plan.firm, "plastering", name="Plastering"))


def lay(plan: Plan, visit: Visit, starts_on: date, ends_on: date | None = None, **fields: object) -> None:
    fields |= {"starts_on": starts_on, "starts_half": Half.MORNING}
    fields |= {"ends_on": ends_on or starts_on, "ends_half": Half.AFTERNOON}
    Span.objects.update_or_create(firm=plan.firm, plan=plan, visit=visit, defaults=fields)


def book(plan: Plan, person, package, *days: date) -> None:
    for on in days:
        for half in Half:
            Booking.objects.create(firm=plan.firm, plan=plan, person=person, package=package, on=on, half=half, hours=4)


def tell(plan: Plan, office, now=NOW) -> list[Notice]:
    return write_notices(plan=plan, previous=None, by=office, now=now)


def replan(plan: Plan, now=LATER) -> Plan:
    Plan.objects.filter(pk=plan.pk).update(state=Plan.State.REPLACED)
    return make_plan(plan.firm, Plan.State.ISSUED, made_at=now)


def test_trade_is_told_and_asked_when_their_visit_has_a_date(plan, office, visit):
    lay(plan, visit, FRIDAY)
    (notice,) = tell(plan, office)
    visit.refresh_from_db()
    assert (notice.kind, notice.lines) == ("new", ["Plastering, Mill Row: Fri 15 January, all day."])
    assert (visit.state, visit.starts_on, visit.starts_half) == (Visit.State.ASKED, FRIDAY, Half.MORNING)


def test_told_date_is_kept_when_a_trade_is_told(plan, office, visit):
    lay(plan, visit, FRIDAY, NEXT_FRIDAY)
    tell(plan, office)
    told = ToldDate.objects.get()
    assert (told.visit, told.starts_on, told.ends_on, told.told_at) == (visit, FRIDAY, NEXT_FRIDAY, NOW)


def test_nobody_is_told_when_nothing_they_can_see_changed(plan, office, visit):
    lay(plan, visit, FRIDAY)
    tell(plan, office)
    after = replan(plan)
    lay(after, visit, FRIDAY)
    assert tell(after, office, LATER) == []


def test_change_names_old_new_and_reason_when_a_visit_moves(plan, office, visit):
    lay(plan, visit, FRIDAY)
    tell(plan, office)
    after = replan(plan)
    lay(after, visit, NEXT_FRIDAY, cause={"kind": "delivery", "words": "sockets for Elm House come late"})
    (notice,) = write_notices(plan=after, previous=plan, by=office, now=LATER)
    assert notice.lines == [
        "Plastering, Mill Row: moved. Before: Fri 15 January, all day. Now: Fri 22 January, all day. "
        "Reason: materials come later."
    ]


def test_no_reason_is_given_when_an_earlier_plan_moved_the_visit(plan, office, visit):
    lay(plan, visit, FRIDAY)
    tell(plan, office)
    between, after = replan(plan), make_plan(plan.firm, Plan.State.REPLACED)
    for later in (between, after):
        lay(later, visit, NEXT_FRIDAY, cause={"kind": "delivery"})
    (notice,) = write_notices(plan=after, previous=between, by=office, now=LATER)
    assert "Reason" not in notice.lines[0]


def test_agreed_visit_is_asked_again_when_it_moves(plan, office, visit):
    lay(plan, visit, FRIDAY)
    tell(plan, office)
    Visit.objects.update(state=Visit.State.ACCEPTED)
    after = replan(plan)
    lay(after, visit, NEXT_FRIDAY)
    tell(after, office, LATER)
    visit.refresh_from_db()
    assert (visit.state, visit.starts_on) == (Visit.State.ASKED, NEXT_FRIDAY)


def test_agreed_visit_stays_agreed_when_it_keeps_its_date(plan, office, visit):
    lay(plan, visit, FRIDAY)
    tell(plan, office)
    Visit.objects.update(state=Visit.State.ACCEPTED)
    after = replan(plan)
    lay(after, visit, FRIDAY)
    tell(after, office, LATER)
    visit.refresh_from_db()
    assert visit.state == Visit.State.ACCEPTED


def test_trade_is_told_of_cancellation_when_the_plan_drops_a_visit(plan, office, visit):
    lay(plan, visit, FRIDAY)
    tell(plan, office)
    (notice,) = tell(replan(plan), office, LATER)
    assert (notice.kind, ToldDate.objects.last().starts_on) == ("cancelled", None)


def test_cancellation_is_told_once_when_plans_go_on_without_the_visit(plan, office, visit):
    lay(plan, visit, FRIDAY)
    tell(plan, office)
    after = replan(plan)
    tell(after, office, LATER)
    assert tell(replan(after), office, LATER + timedelta(hours=1)) == []


def test_nobody_is_told_of_cancellation_when_the_visit_is_over(plan, office, visit):
    lay(plan, visit, FRIDAY)
    tell(plan, office)
    assert tell(replan(plan), office, NOW + timedelta(days=7)) == []


def test_nobody_is_told_of_cancellation_when_the_visit_is_under_way(plan, office, visit):
    lay(plan, visit, TOMORROW, NEXT_FRIDAY)
    tell(plan, office)
    assert tell(replan(plan), office, NOW + timedelta(days=3)) == []


def test_both_trades_hear_when_a_visit_changes_hands(plan, office, visit):
    lay(plan, visit, FRIDAY)
    tell(plan, office)
    other = make_contact(plan.firm, name="Quinn")
    Visit.objects.update(contact=other, state=Visit.State.PENCILLED)
    after = replan(plan)
    lay(after, visit, FRIDAY)
    kinds = {notice.contact.name: notice.kind for notice in tell(after, office, LATER)}
    assert kinds == {"Quinn": "new", "Pat": "cancelled"}


def test_declined_date_is_not_asked_for_again_when_the_plan_keeps_it(plan, office, visit):
    lay(plan, visit, FRIDAY)
    tell(plan, office)
    Visit.objects.update(state=Visit.State.DECLINED)
    after = replan(plan)
    lay(after, visit, FRIDAY)
    assert tell(after, office, LATER) == []


def test_trade_is_asked_for_another_date_when_they_declined_the_first(plan, office, visit):
    lay(plan, visit, FRIDAY)
    tell(plan, office)
    Visit.objects.update(state=Visit.State.DECLINED, answer_note="away")
    after = replan(plan)
    lay(after, visit, NEXT_FRIDAY)
    tell(after, office, LATER)
    visit.refresh_from_db()
    assert (visit.state, visit.answer_note) == (Visit.State.ASKED, "")


def test_one_notice_holds_everything_when_a_trade_has_several_visits(plan, office, visit, plasterer):
    lay(plan, visit, FRIDAY)
    lay(plan, make_visit(make_job(plan.firm, "Elm House"), plasterer, visit.kind), NEXT_FRIDAY)
    (notice,) = tell(plan, office)
    assert (notice.subject, len(notice.lines)) == ("Dates: 2 new", 2)


def test_go_ahead_is_held_back_when_the_visit_covers_unrecorded_work(plan, office, visit):
    visit.kind.covers_up = True
    visit.kind.save()
    lay(plan, visit, FRIDAY)
    (notice,) = tell(plan, office)
    assert "final go-ahead will follow" in notice.lines[0]


def test_nobody_is_told_of_a_visit_when_no_trade_is_chosen_yet(plan, office, job):
    lay(plan, make_visit(job), FRIDAY)
    assert tell(plan, office) == []


def test_crew_hear_of_this_week_and_the_next_when_a_plan_is_issued(plan, office, job):
    asha = make_person(plan.firm, "Asha")
    package = make_package(make_area(job, "Upstairs"))
    book(plan, asha, package, TOMORROW, NEXT_FRIDAY, IN_THREE_WEEKS)
    (notice,) = tell(plan, office)
    assert notice.lines == [
        "Wed 13 January: Mill Row (First fix, Upstairs).", "Fri 22 January: Mill Row (First fix, Upstairs)."
    ]


def test_crew_hear_only_of_what_changed_when_a_day_moves(plan, office, job):
    asha, package = make_person(plan.firm, "Asha"), make_package(make_area(job, "Upstairs"))
    book(plan, asha, package, TOMORROW, FRIDAY)
    tell(plan, office)
    after = replan(plan)
    book(after, asha, package, TOMORROW, NEXT_FRIDAY)
    (notice,) = tell(after, office, LATER)
    assert notice.lines == [
        "Fri 15 January: nothing planned for you any more (was Mill Row (First fix, Upstairs)).",
        "Fri 22 January: Mill Row (First fix, Upstairs).",
    ]


def test_crew_hear_nothing_when_their_days_stay(plan, office, job):
    asha, package = make_person(plan.firm, "Asha"), make_package(make_area(job, "Upstairs"))
    book(plan, asha, package, TOMORROW)
    tell(plan, office)
    after = replan(plan)
    book(after, asha, package, TOMORROW)
    assert tell(after, office, LATER) == []


def test_halves_are_told_apart_when_a_day_is_split(plan, office, job):
    asha, package = make_person(plan.firm, "Asha"), make_package(make_area(job, "Upstairs"))
    Booking.objects.create(firm=plan.firm, plan=plan, person=asha, package=package, on=TOMORROW, half="pm", hours=4)
    (notice,) = tell(plan, office)
    assert notice.lines == ["Wed 13 January: afternoon Mill Row (First fix, Upstairs)."]


def test_crew_are_refused_when_they_try_to_tell_people(plan, visit):
    lay(plan, visit, FRIDAY)
    with pytest.raises(PermissionDenied):
        tell(plan, make_office(make_firm("Other")))


def test_mail_waits_in_the_outbox_when_a_notice_is_written(plan, office, visit):
    lay(plan, visit, FRIDAY)
    (notice,) = tell(plan, office)
    entry = OutboxEntry.objects.get()
    assert (entry.task, entry.payload, len(mail.outbox)) == ("send_notice", {"notice_pk": notice.pk}, 0)


def test_no_mail_is_asked_for_when_the_contact_has_no_address(plan, office, visit, plasterer):
    plasterer.email = ""
    plasterer.save()
    lay(plan, visit, FRIDAY)
    (notice,) = tell(plan, office)
    send_notice(notice_pk=notice.pk, now=LATER)
    assert (OutboxEntry.objects.exists(), Delivery.objects.exists(), len(mail.outbox)) == (False, False, 0)


def test_queries_grow_only_with_mails_when_more_is_told(plan, office, visit, plasterer, django_assert_num_queries):
    kind, asha = visit.kind, make_person(plan.firm, "Asha")
    for number in range(5):
        house = make_job(plan.firm, f"House {number}")
        lay(plan, make_visit(house, plasterer, kind), FRIDAY)
        book(plan, asha, make_package(make_area(house)), TODAY + timedelta(days=number))
    plan = Plan.objects.select_related("firm").get(pk=plan.pk)
    with django_assert_num_queries(21):
        tell(plan, office)

from datetime import date, datetime, time
from decimal import Decimal

from jobs.core import netting
from jobs.core.netting import Arrival, OnHand, Requirement, Shortage, Supply
from jobs.core.stages import Half
from jobs.core.workdays import Calendar

MON, TUE, WED, THU, FRI = (date(2027, 1, day) for day in (11, 12, 13, 14, 15))
NOW = datetime(2027, 1, 11, 9, 0)
BOX, OTHER_BOX = 1, 2
MILL, HAZEL = 71, 72
CALENDAR = Calendar()


def need(quantity: int, on: date | None, key: int = 1, job: int | None = None, item: int = BOX) -> Requirement:
    return Requirement(key, item, Decimal(quantity), on, job=job)


def have(quantity: int, job: int | None = None, item: int = BOX) -> OnHand:
    return OnHand(item, Decimal(quantity), job)


def order(quantity: int, on: date) -> Arrival:
    return Arrival(BOX, Decimal(quantity), on, order=5)


def project(requirements=(), on_hand=(), arrivals=(), supply=None, now=NOW, groups=None):
    supplies = {BOX: supply or Supply()}
    return netting.net(requirements, on_hand, arrivals, supplies, now=now, calendar=CALENDAR, groups=groups)[BOX]


def only_shortage(*args, **kwargs) -> Shortage:
    (shortage,) = project(*args, **kwargs).shortages
    return shortage


def test_nothing_is_short_when_stock_covers_the_plan():
    assert project([need(8, TUE)], [have(10)]).shortages == ()


def test_balance_falls_day_by_day_when_the_plan_takes_stock():
    projection = project([need(8, TUE), need(3, THU, key=2)], [have(10)], [order(5, WED)])
    assert [(day.on, int(day.balance)) for day in projection.days] == [(TUE, 2), (WED, 7), (THU, 4)]


def test_missing_part_is_short_when_stock_covers_some():
    assert only_shortage([need(8, THU)], [have(5)]).quantity == 3


def test_earlier_work_is_served_first_when_stock_is_scarce():
    shortage = only_shortage([need(8, THU, key=2), need(8, TUE, key=1)], [have(10)])
    assert (shortage.requirement.key, shortage.quantity) == (2, 6)


def test_morning_is_served_before_afternoon_on_one_day():
    afternoon = Requirement(1, BOX, Decimal(6), TUE, Half.AFTERNOON)
    assert only_shortage([afternoon, need(6, TUE, key=2)], [have(6)]).requirement == afternoon


def test_delivery_covers_work_when_it_comes_that_day():
    assert project([need(8, WED)], [], [order(8, WED)]).shortages == ()


def test_start_waits_for_the_delivery_when_it_comes_after_the_need():
    shortage = only_shortage([need(8, TUE)], [], [order(8, THU)])
    assert (shortage.covered_on, shortage.can_start_on) == (THU, THU)


def test_order_does_not_cover_when_it_is_too_small():
    assert only_shortage([need(8, TUE)], [], [order(7, THU)]).covered_on is None


def test_overdue_delivery_is_expected_next_working_day():
    assert only_shortage([need(8, MON)], [], [order(8, date(2027, 1, 7))]).covered_on == TUE


def test_sites_own_stock_serves_its_job_first():
    requirements = [need(5, TUE, job=MILL), need(5, TUE, key=2, job=HAZEL)]
    assert project(requirements, [have(5, job=MILL), have(5)]).shortages == ()


def test_other_sites_spare_is_told_but_not_counted():
    shortage = only_shortage([need(5, TUE, job=HAZEL)], [have(9, job=MILL)])
    assert (shortage.quantity, shortage.elsewhere) == (5, 9)


def test_own_sites_spare_is_not_elsewhere():
    requirements = [need(2, TUE, job=MILL), need(4, WED, key=2, job=HAZEL)]
    assert only_shortage(requirements, [have(9, job=MILL)]).elsewhere == 7


def test_debt_of_a_van_lowers_what_there_is():
    assert only_shortage([need(8, TUE)], [have(10), have(-4)]).quantity == 2


def test_debt_of_a_site_lowers_what_there_is():
    assert only_shortage([need(8, TUE)], [have(10), have(-4, job=MILL)]).quantity == 2


def test_no_order_moment_is_given_when_the_plan_has_no_date():
    shortage = only_shortage([need(8, None)])
    assert (shortage.quantity, shortage.latest_order_at) == (8, None)


def test_undated_needs_come_last_when_stock_is_scarce():
    assert only_shortage([need(8, None), need(8, FRI, key=2)], [have(8)]).requirement.needed_on is None


def test_need_of_a_past_day_bites_today():
    projection = project([need(8, date(2027, 1, 5))])
    assert (projection.days[0].on, projection.shortages[0].latest_order_at.date()) == (MON, date(2027, 1, 8))


def test_minimum_is_missed_on_the_day_the_plan_goes_below_it():
    projection = project([need(8, WED)], [have(10)], supply=Supply(keep_at_least=Decimal(5)))
    assert (projection.is_below_minimum, projection.below_minimum_on) == (False, WED)


def test_other_pack_covers_when_items_stand_in_for_each_other():
    requirements = [need(8, TUE), need(2, TUE, key=2, item=OTHER_BOX)]
    on_hand = [have(3), have(7, item=OTHER_BOX)]
    assert project(requirements, on_hand, groups={OTHER_BOX: BOX}).shortages == ()


def test_order_by_the_evening_before_when_lead_is_one_day():
    assert netting.latest_order_moment(WED, Supply(), CALENDAR) == datetime(2027, 1, 12, 19, 0)


def test_order_on_friday_when_needed_on_monday():
    assert netting.latest_order_moment(MON, Supply(), CALENDAR) == datetime(2027, 1, 8, 19, 0)


def test_bank_holidays_are_stepped_over():
    # Good Friday 26 March and Easter Monday 29 March 2027: gov.uk bank holidays.
    supply = Supply(lead_working_days=2, cut_off=time(16, 30))
    assert netting.latest_order_moment(date(2027, 3, 31), supply, CALENDAR) == datetime(2027, 3, 25, 16, 30)


def test_delivery_of_friday_serves_when_work_is_on_saturday():
    assert netting.latest_order_moment(date(2027, 1, 16), Supply(), CALENDAR) == datetime(2027, 1, 14, 19, 0)


def test_what_is_fetched_is_fetched_before_work_begins():
    assert netting.latest_order_moment(WED, Supply(lead_working_days=0), CALENDAR) == datetime(2027, 1, 13, 0, 0)


def test_order_before_the_cut_off_comes_next_working_day():
    assert netting.soonest_delivery(datetime(2027, 1, 15, 19, 0), Supply(), CALENDAR) == date(2027, 1, 18)


def test_order_after_the_cut_off_comes_a_day_later():
    assert netting.soonest_delivery(datetime(2027, 1, 12, 19, 1), Supply(), CALENDAR) == THU


def test_order_of_a_weekend_counts_as_mondays():
    assert netting.soonest_delivery(datetime(2027, 1, 16, 10, 0), Supply(), CALENDAR) == date(2027, 1, 19)


def test_whole_packs_are_ordered_when_some_are_missing():
    assert project([need(23, TUE)], [have(10)]).to_order(Decimal(10)) == 20


def test_order_fills_up_to_the_minimum():
    assert project([need(8, TUE)], [have(10)], supply=Supply(keep_at_least=Decimal(5))).to_order(Decimal(10)) == 10


def test_undated_needs_are_ordered_too():
    assert project([need(8, TUE), need(4, None, key=2)], [have(10)]).to_order(Decimal(1)) == 2


def test_nothing_is_ordered_when_there_is_enough():
    assert project([need(8, TUE)], [have(10)]).to_order(Decimal(10)) == 0


def test_order_names_who_waits_for_it_when_stock_alone_is_too_little():
    (waiting,) = project([need(4, TUE), need(8, FRI, key=2)], [have(10)], [order(20, THU)]).waiting
    assert (waiting.requirement.key, waiting.quantity, waiting.order, waiting.is_late) == (2, 2, 5, False)


def test_wait_is_late_when_the_order_comes_after_the_need():
    (waiting,) = project([need(8, TUE)], [], [order(20, THU)]).waiting
    assert (waiting.arrives_on, waiting.is_late) == (THU, True)


def test_nobody_waits_when_stock_is_enough():
    assert project([need(8, TUE)], [have(10)], [order(20, THU)]).waiting == ()


def test_nobody_waits_for_an_order_that_is_too_small():
    assert project([need(8, TUE)], [], [order(5, THU)]).waiting == ()


def test_days_on_which_the_supplier_is_closed_are_skipped():
    """By hand: needed Thursday 14 January, one day's lead, the supplier closed on the 13th: ordered on the 12th for the
    14th, and missed, ordered on the 14th for the 15th."""
    supply = Supply(closed=frozenset({date(2027, 1, 13)}))
    latest_at = netting.latest_order_moment(date(2027, 1, 14), supply, CALENDAR)
    assert latest_at == datetime(2027, 1, 12, 19, 0)
    missed_on = netting.delivery_when_missed(latest_at, datetime(2027, 1, 12, 9, 0), supply, CALENDAR)
    assert missed_on == date(2027, 1, 15)


def test_a_closed_supplier_delivers_the_working_day_before():
    supply = Supply(closed=frozenset({date(2027, 1, 14)}))
    assert netting.latest_order_moment(date(2027, 1, 14), supply, CALENDAR) == datetime(2027, 1, 12, 19, 0)


def test_what_is_fetched_and_missed_is_there_the_next_day():
    latest_at = netting.latest_order_moment(date(2027, 1, 14), Supply(0), CALENDAR)
    assert netting.delivery_when_missed(latest_at, datetime(2027, 1, 12, 9, 0), Supply(0), CALENDAR) == date(2027, 1, 15)


def test_only_what_is_needed_by_a_day_is_ordered():
    days = (
        netting.DayBalance(date(2027, 1, 14), Decimal(0), Decimal(3), Decimal(-3)),
        netting.DayBalance(date(2027, 2, 1), Decimal(0), Decimal(20), Decimal(-23)),
    )
    projection = netting.Projection(1, Decimal(0), days)
    assert (projection.to_order(Decimal(10), date(2027, 1, 20)), projection.to_order(Decimal(10))) == (10, 30)

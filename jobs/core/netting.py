"""Netting: what the plan needs, day by day, against what lies in stores and what is on order.

Needs are served in the order of the plan. Stock on a job's own site serves that job first; what a site holds
beyond its own needs is told, never counted on. Times are the firm's own clock (naive).
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from functools import cached_property
from math import ceil

from jobs.core.stages import Half
from jobs.core.workdays import Calendar

ZERO = Decimal(0)


@dataclass(frozen=True)
class Requirement:
    """What a package (`key`) still takes of an item. `needed_on` None: the plan has no date for it yet."""

    key: int
    item: int
    quantity: Decimal
    needed_on: date | None
    half: Half = Half.MORNING
    job: int | None = None

    @property
    def order(self) -> tuple[date, bool, int]:
        """Sorts requirements as the plan needs them: by half day, then by key; without a date last."""
        return (self.needed_on or date.max, self.half == Half.AFTERNOON, self.key)


@dataclass(frozen=True)
class OnHand:
    """Stock the firm can use: in the unit and on vans (`job` None), or on one job's site."""

    item: int
    quantity: Decimal
    job: int | None = None


@dataclass(frozen=True)
class Arrival:
    """What is still to come on an order, and when."""

    item: int
    quantity: Decimal
    on: date
    order: int | None = None


@dataclass(frozen=True)
class Supply:
    """How an item is bought: ordered by `cut_off` on a working day, it comes `lead_working_days` later, in time
    for that day's work. A lead of 0 is fetched before work begins. `keep_at_least` is the firm's minimum. `closed`: days
    on which the supplier neither takes orders nor delivers, beside the firm's own rest days."""

    lead_working_days: int = 1
    cut_off: time = time(19, 0)
    keep_at_least: Decimal = ZERO
    closed: frozenset[date] = frozenset()

    def days(self, calendar: Calendar) -> Calendar:
        """The days on which both the firm and the supplier work."""
        if not self.closed:
            return calendar
        shut = dict.fromkeys(self.closed, "supplier closed")
        opened = {on: name for on, name in calendar.opened.items() if on not in self.closed}
        return replace(calendar, closed={**calendar.closed, **shut}, opened=opened)


@dataclass(frozen=True)
class Shortage:
    """A requirement that stock and orders do not cover in time.

    `quantity`: what is missing. `latest_order_at`: the last moment to order so that it is there (None without a
    date). `soonest_on`: when it comes if it is ordered now. `missed_on`: when it comes if that moment is missed.
    `covered_on`: when orders already placed cover it. `elsewhere`: what other jobs' sites hold beyond their own needs.
    """

    requirement: Requirement
    quantity: Decimal
    latest_order_at: datetime | None
    soonest_on: date
    missed_on: date | None = None
    covered_on: date | None = None
    elsewhere: Decimal = ZERO

    @property
    def can_start_on(self) -> date:
        """The first day the package can have everything of this item."""
        return self.covered_on or self.soonest_on


@dataclass(frozen=True)
class Waiting:
    """A requirement that stock in hand does not cover and an order on its way does, in time or not."""

    requirement: Requirement
    quantity: Decimal
    order: int | None
    arrives_on: date

    @property
    def is_late(self) -> bool:
        """Whether it comes after the day it is needed."""
        return self.requirement.needed_on is not None and self.arrives_on > self.requirement.needed_on


@dataclass(frozen=True)
class DayBalance:
    """A day on which stock changes: what comes, what is needed, what is left at its end."""

    on: date
    arrives: Decimal
    needed: Decimal
    balance: Decimal


@dataclass(frozen=True)
class Projection:
    """An item's stock in time. `opening` leaves out `spare_on_sites`; `undated`: needed on no known day."""

    item: int
    opening: Decimal
    days: tuple[DayBalance, ...] = ()
    shortages: tuple[Shortage, ...] = ()
    waiting: tuple[Waiting, ...] = ()
    undated: Decimal = ZERO
    spare_on_sites: Decimal = ZERO
    keep_at_least: Decimal = ZERO

    @property
    def lowest(self) -> Decimal:
        """The least there is, today or on any day, needs without a date left out."""
        return min((self.opening, *(day.balance for day in self.days)))

    def to_order(self, pack_size: Decimal, until: date | None = None) -> Decimal:
        """Whole packs that bring every day (up to `until`) up to what is needed and to the firm's minimum; 0 when none
        are wanted."""
        lowest = min(self.lowest, self.lowest_after_all) if until is None else self.lowest_until(until)
        missing = self.keep_at_least - lowest
        return max(ZERO, ceil(missing / pack_size) * pack_size)

    def lowest_until(self, until: date) -> Decimal:
        """The least there is, today or on any day up to `until`."""
        return min((self.opening, *(day.balance for day in self.days if day.on <= until)))

    @property
    def lowest_after_all(self) -> Decimal:
        """What is left when needs without a date are met too."""
        last = self.days[-1].balance if self.days else self.opening
        return last - self.undated

    @property
    def is_below_minimum(self) -> bool:
        """Whether there is less now than the firm always keeps."""
        return self.opening < self.keep_at_least

    @property
    def below_minimum_on(self) -> date | None:
        """The first day that ends below the firm's minimum."""
        return next((day.on for day in self.days if day.balance < self.keep_at_least), None)


def latest_order_moment(needed_on: date, supply: Supply, calendar: Calendar) -> datetime:
    """The last moment to order something that must be there on `needed_on`."""
    calendar = supply.days(calendar)
    delivered_on = _working_on_or_before(needed_on, calendar)
    if not supply.lead_working_days:
        return datetime.combine(delivered_on, time.min)
    return datetime.combine(step(delivered_on, -supply.lead_working_days, calendar), supply.cut_off)


def soonest_delivery(now: datetime, supply: Supply, calendar: Calendar) -> date:
    """When something ordered now comes."""
    calendar, ordered_on = supply.days(calendar), now.date()
    if now.time() > supply.cut_off or not calendar.is_working(ordered_on):
        ordered_on = step(ordered_on, 1, calendar)
    return step(ordered_on, supply.lead_working_days, calendar)


def delivery_when_missed(latest_at: datetime, now: datetime, supply: Supply, calendar: Calendar) -> date:
    """When something comes that is ordered just after its last moment, or now if that is later."""
    if not supply.lead_working_days:
        return step(max(now, latest_at).date(), 1, supply.days(calendar))
    return soonest_delivery(max(now, latest_at + timedelta(minutes=1)), supply, calendar)


def step(on: date, working_days: int, calendar: Calendar) -> date:
    """The day `working_days` working days after `on` (before it, when negative)."""
    day, direction = on, 1 if working_days > 0 else -1
    for _ in range(abs(working_days)):
        day += timedelta(days=direction)
        while not calendar.is_working(day):
            day += timedelta(days=direction)
    return day


def _working_on_or_before(on: date, calendar: Calendar) -> date:
    return on if calendar.is_working(on) else step(on, -1, calendar)


@dataclass
class _Deliveries:
    """When one way of delivering comes, worked out once for all items that are bought so."""

    supply: Supply
    now: datetime
    calendar: Calendar
    days: dict[date, tuple[datetime, date]] = field(default_factory=dict)

    @cached_property
    def soonest_on(self) -> date:
        return soonest_delivery(self.now, self.supply, self.calendar)

    def for_day(self, needed_on: date) -> tuple[datetime, date]:
        """(the last moment to order, when it comes if that is missed)."""
        if needed_on not in self.days:
            latest_at = latest_order_moment(needed_on, self.supply, self.calendar)
            missed_on = delivery_when_missed(latest_at, self.now, self.supply, self.calendar)
            self.days[needed_on] = latest_at, missed_on
        return self.days[needed_on]


@dataclass
class _Ledger:
    """One item's figures while it is netted."""

    free: Decimal = ZERO
    sites: dict[int, Decimal] = field(default_factory=lambda: defaultdict(Decimal))
    arrivals: list[Arrival] = field(default_factory=list)
    requirements: list[Requirement] = field(default_factory=list)


def net(
    requirements: Iterable[Requirement],
    on_hand: Iterable[OnHand],
    arrivals: Iterable[Arrival],
    supplies: Mapping[int, Supply],
    *,
    now: datetime,
    calendar: Calendar,
    groups: Mapping[int, int] | None = None,
) -> dict[int, Projection]:
    """The projection of every item that is needed, held or on order.

    `groups` maps an item to the one it stands in for: the same thing in another pack. Their stock, orders and
    needs are one, netted under that item. An overdue arrival is expected on the next working day.
    """
    swap = groups or {}
    ledgers: dict[int, _Ledger] = defaultdict(_Ledger)
    for held in on_hand:
        _book_in(ledgers[swap.get(held.item, held.item)], held)
    for arrival in arrivals:
        ledgers[swap.get(arrival.item, arrival.item)].arrivals.append(arrival)
    for requirement in requirements:
        ledgers[swap.get(requirement.item, requirement.item)].requirements.append(requirement)
    deliveries: dict[Supply, _Deliveries] = {}
    projections = {}
    for item, ledger in ledgers.items():
        supply = supplies.get(item, Supply())
        alike = replace(supply, keep_at_least=ZERO)
        known = deliveries.setdefault(alike, _Deliveries(alike, now, calendar))
        projections[item] = _project(item, ledger, supply, known, now, calendar)
    return projections


def usable_on(arrival_on: date, today: date, calendar: Calendar) -> date:
    """When an expected delivery can be counted on: an overdue one not before the next working day."""
    return arrival_on if arrival_on >= today else step(today, 1, calendar)


def _book_in(ledger: _Ledger, held: OnHand) -> None:
    """A site that owes something owes it to the firm: its records are wrong, the stock is gone all the same."""
    if held.job is None or held.quantity < 0:
        ledger.free += held.quantity
    else:
        ledger.sites[held.job] += held.quantity


def _project(
    item: int, ledger: _Ledger, supply: Supply, deliveries: _Deliveries, now: datetime, calendar: Calendar
) -> Projection:
    wanted, served = _serve_from_sites(ledger)
    spare = sum(ledger.sites.values(), ZERO)
    coming = _arrivals_by_day(ledger.arrivals, now.date(), calendar)
    return Projection(
        item=item,
        opening=ledger.free + sum(served.values(), ZERO),
        days=_days(ledger.free + sum(served.values(), ZERO), coming, ledger.requirements, now.date()),
        shortages=tuple(_shortages(ledger, wanted, coming, deliveries)),
        waiting=tuple(_waiting(ledger, wanted, now.date(), calendar)),
        undated=sum((each.quantity for each in ledger.requirements if each.needed_on is None), ZERO),
        spare_on_sites=spare,
        keep_at_least=supply.keep_at_least,
    )


def _serve_from_sites(ledger: _Ledger) -> tuple[list[tuple[Requirement, Decimal]], dict[int, Decimal]]:
    """What each requirement wants beyond its own site's stock, in order; and what each site gave."""
    wanted, served = [], defaultdict(Decimal)
    for requirement in sorted(ledger.requirements, key=lambda each: each.order):
        given = min(requirement.quantity, ledger.sites.get(requirement.job, ZERO)) if requirement.job else ZERO
        if given:
            ledger.sites[requirement.job] -= given
            served[requirement.job] += given
        wanted.append((requirement, requirement.quantity - given))
    return wanted, served


def _arrivals_by_day(arrivals: Iterable[Arrival], today: date, calendar: Calendar) -> dict[date, Decimal]:
    coming: dict[date, Decimal] = defaultdict(Decimal)
    for arrival in arrivals:
        coming[usable_on(arrival.on, today, calendar)] += arrival.quantity
    return dict(sorted(coming.items()))


def _days(
    opening: Decimal, coming: Mapping[date, Decimal], requirements: Iterable[Requirement], today: date
) -> tuple[DayBalance, ...]:
    needed: dict[date, Decimal] = defaultdict(Decimal)
    for requirement in requirements:
        if requirement.needed_on:
            needed[max(requirement.needed_on, today)] += requirement.quantity
    days, balance = [], opening
    for on in sorted({*coming, *needed}):
        arrives, goes = coming.get(on, ZERO), needed.get(on, ZERO)
        balance += arrives - goes
        days.append(DayBalance(on, arrives, goes, balance))
    return tuple(days)


def _shortages(
    ledger: _Ledger,
    wanted: list[tuple[Requirement, Decimal]],
    coming: Mapping[date, Decimal],
    deliveries: _Deliveries,
) -> Iterable[Shortage]:
    """Each requirement that makes the common stock owe more than before. Needs come in the order of their days, so
    what has come by then is added up along the way."""
    asked, here, spare, queue = ZERO, ledger.free, sum(ledger.sites.values(), ZERO), list(coming.items())
    for requirement, quantity in wanted:
        asked += quantity
        needed_on = requirement.needed_on and max(requirement.needed_on, deliveries.now.date())
        while queue and (needed_on is None or queue[0][0] <= needed_on):
            here += queue.pop(0)[1]
        short = min(quantity, asked - here)
        if short > 0:
            latest_at, missed_on = deliveries.for_day(needed_on) if needed_on else (None, None)
            yield Shortage(
                requirement=requirement,
                quantity=short,
                latest_order_at=latest_at,
                soonest_on=deliveries.soonest_on,
                missed_on=missed_on,
                covered_on=_covered_on(asked - ledger.free, coming),
                elsewhere=spare - ledger.sites.get(requirement.job, ZERO),
            )


def _waiting(
    ledger: _Ledger, wanted: list[tuple[Requirement, Decimal]], today: date, calendar: Calendar
) -> Iterable[Waiting]:
    """Each requirement that needs more than what is in hand, with the arrival that completes it."""
    arrivals = sorted(ledger.arrivals, key=lambda each: (usable_on(each.on, today, calendar), each.order or 0))
    asked = ZERO
    for requirement, quantity in wanted:
        asked += quantity
        lacking, reached = asked - ledger.free, ZERO
        for arrival in arrivals if min(quantity, lacking) > 0 else ():
            reached += arrival.quantity
            if reached >= lacking:
                arrives_on = usable_on(arrival.on, today, calendar)
                yield Waiting(requirement, min(quantity, lacking), arrival.order, arrives_on)
                break


def _covered_on(missing: Decimal, coming: Mapping[date, Decimal]) -> date | None:
    """The day by which arrivals add up to `missing`."""
    total = ZERO
    for on, amount in coming.items():
        total += amount
        if total >= missing:
            return on
    return None

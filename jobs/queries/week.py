"""This week: people × mornings and afternoons, other trades, deliveries, and what is wrong with it."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date, timedelta

from django.db.models import Q

from jobs.core.stages import Half
from jobs.core.workdays import Sessions, sessions_between
from jobs.models import Booking, Firm, Job, Order, Person, Pin, Plan, Span, Visit
from jobs.queries.causes import Causes, load_causes
from jobs.queries.finishes import load_finishes
from jobs.queries.firm_calendar import load_calendar
from jobs.queries.plan_rows import span_key
from jobs.queries.planning_crew import load_away
from jobs.queries.planning_keys import job_key, package_key, person_key, visit_key
from jobs.queries.planning_work import PLANNED_STATES, VISITS_FIXED
from jobs.queries.ranges import start_range
from jobs.queries.week_parts import (
    Cell,
    Day,
    DayColumn,
    DayOfPerson,
    DayOfTrades,
    Note,
    PersonRow,
    Reason,
    Stint,
    VisitOnDay,
    Week,
)

HALVES = tuple(Half)


def monday_of(day: date) -> date:
    return day - timedelta(days=day.weekday())


def load_week(firm: Firm, plan: Plan | None, monday: date, today: date, *, issued: Plan | None = None) -> Week:
    """The week of `plan` from `monday` on. With `issued`, what differs from it is marked as new."""
    calendar = load_calendar(firm, monday)
    sessions = sessions_between(calendar, monday, monday + timedelta(days=6))
    bookings = list(_bookings(plan, monday)) if plan else []
    causes = load_causes(plan)
    notes = _notes(plan, bookings, causes, monday)
    days = tuple(_days(sessions, bookings, today))
    marker = _Marker(firm, plan, issued, notes, sessions, today)
    rows = tuple(_person_row(person, days, bookings, marker) for person in _people(firm, bookings))
    others = tuple(_others(firm, days, causes, notes, monday, marker))
    return Week(
        monday=monday,
        plan=plan,
        days=days,
        rows=rows,
        others=others,
        notes=notes,
        reasons=tuple(_reasons(causes, monday)),
        overdue=tuple(_overdue(firm, today)),
        late=tuple(finish for finish in load_finishes(firm, causes, Causes({})) if finish.is_late),
        has_new=any(s.is_new for row in rows for day in row.days for cell in day.cells for s in cell.stints),
        columns=[_day_column(day, [(row.person, row.days[at]) for row in rows], others[at]) for at, day in enumerate(days)],
    )


def _bookings(plan: Plan, monday: date) -> Iterable[Booking]:
    rows = Booking.objects.filter(plan=plan, on__gte=monday, on__lt=monday + timedelta(days=7))
    return rows.select_related("person", "package__job", "package__area").order_by("on", "half", "package_id")


def _people(firm: Firm, bookings: list[Booking]) -> list[Person]:
    """Those who work here, and anyone else the week still has on it; best qualified first."""
    booked = {row.person for row in bookings}
    people = {*Person.objects.filter(firm=firm, is_active=True), *booked}
    order = ["electrician", "improver", "apprentice", "labourer"]
    return sorted(people, key=lambda person: (order.index(person.grade), person.name))


def _days(sessions: Sessions, bookings: list[Booking], today: date) -> Iterator[Day]:
    """Monday to Friday, and the weekend's days when they are worked."""
    booked = {row.on for row in bookings}
    for offset in range(7):
        on = sessions.first_on + timedelta(days=offset)
        rest_name = sessions.calendar.rest_name(on) or ""
        if offset < 5 or not rest_name or on in booked:
            yield Day(on, rest_name, is_today=on == today, is_past=on < today)


class _Marker:
    """Marks each booking: held by hand, new against the issued plan, only part of the session, with which notes."""

    def __init__(
        self, firm: Firm, plan: Plan | None, issued: Plan | None, notes: tuple[Note, ...], sessions: Sessions, today: date
    ) -> None:
        self._plan, self._today, self._sessions, self._notes = plan, today, sessions, notes
        self._issued = set(_places(issued, sessions)) if issued and issued != plan else None
        in_week = Q(on__range=(sessions.first_on, sessions.last_on))
        pins = list(Pin.objects.filter(Q(visit__isnull=False) | in_week, firm=firm))
        self._held = {(pin.package_id, pin.person_id, pin.on, pin.half) for pin in pins if pin.package_id}
        self._held_visits = {(pin.visit_id, pin.on, pin.half) for pin in pins if pin.visit_id}
        self.away = load_away(firm, sessions)

    def stint(self, row: Booking) -> Stint:
        place = (row.package_id, row.person_id, row.on, row.half)
        full = self._sessions.calendar.hours(Half(row.half))
        return Stint(
            booking=row,
            is_held=place in self._held or (row.package_id, None, row.on, row.half) in self._held,
            is_new=self._issued is not None and place not in self._issued and row.on >= self._today,
            is_part=float(row.hours) < full - 0.01,
            can_move=self._can_change(row.on),
            numbers=_numbers(self._notes, _booking_keys(row)),
        )

    def is_held(self, span: Span) -> bool:
        return (span.visit_id, span.starts_on, span.starts_half) in self._held_visits

    def can_hold(self, span: Span) -> bool:
        return span.visit.state not in VISITS_FIXED and self._can_change(span.starts_on)

    def _can_change(self, on: date) -> bool:
        return self._plan is not None and self._plan.state != Plan.State.REPLACED and on >= self._today

    def away_words(self, person: Person, on: date, half: str) -> str:
        number = self._sessions.index(on, Half(half))
        return self.away[person.pk].get(number, "") if number is not None and person.pk in self.away else ""


def _places(plan: Plan, sessions: Sessions) -> Iterable[tuple[object, ...]]:
    rows = Booking.objects.filter(plan=plan, on__gte=sessions.first_on, on__lte=sessions.last_on)
    return rows.order_by().values_list("package_id", "person_id", "on", "half")


def _person_row(person: Person, days: tuple[Day, ...], bookings: list[Booking], marker: _Marker) -> PersonRow:
    mine: dict[tuple[date, str], list[Booking]] = defaultdict(list)
    for row in bookings:
        if row.person_id == person.pk:
            mine[row.on, row.half].append(row)
    return PersonRow(person, tuple(DayOfPerson(day, _cells(person, day, mine, marker)) for day in days))


def _cells(
    person: Person, day: Day, mine: dict[tuple[date, str], list[Booking]], marker: _Marker
) -> tuple[Cell, ...]:
    morning, afternoon = (
        Cell(
            half=half,
            stints=tuple(marker.stint(row) for row in mine[day.on, half]),
            away=marker.away_words(person, day.on, half),
        )
        for half in HALVES
    )
    if morning.is_like(afternoon):
        return (Cell(morning.half, morning.stints, morning.away, is_whole_day=True),)
    return (morning, afternoon)


def _day_column(day: Day, people: list[tuple[Person, DayOfPerson]], others: DayOfTrades) -> DayColumn:
    busy = tuple(pair for pair in people if not all(cell.is_free for cell in pair[1].cells))
    free = tuple(person for person, on_day in people if all(cell.is_free for cell in on_day.cells))
    return DayColumn(day, busy, free if day.is_working and not day.is_past else (), others)


def _notes(plan: Plan | None, bookings: list[Booking], causes: Causes, monday: date) -> tuple[Note, ...]:
    """What the plan breaks this week; the rest is told on the review page."""
    here = [_booking_keys(row) for row in bookings]
    here += [_visit_keys(span) for span in causes.spans.values() if span.visit_id and _touches(span, monday)]
    broken = plan.facts.get("broken", ()) if plan else ()
    words = {rule["words"]: frozenset(rule["keys"]) for rule in broken}
    ours = [(sentence, keys) for sentence, keys in words.items() if any(_concerns(keys, some) for some in here)]
    return tuple(Note(number, sentence, keys) for number, (sentence, keys) in enumerate(ours, 1))


def _visit_keys(span: Span) -> set[str]:
    return {visit_key(span.visit_id), job_key(span.visit.job_id)}


def _booking_keys(row: Booking) -> set[str]:
    return {package_key(row.package_id), person_key(row.person_id), job_key(row.package.job_id)}


def _concerns(named: Iterable[str], keys: set[str]) -> bool:
    """Whether a note that names these is about what has these keys: one of each kind it names must be among them."""
    kinds: dict[str, set[str]] = defaultdict(set)
    for key in named:
        kind = key.partition(":")[0]
        if kind != "pin":
            kinds["work" if kind in {"package", "visit"} else kind].add(key)
    return bool(kinds) and all(of_kind & keys for of_kind in kinds.values())


def _numbers(notes: tuple[Note, ...], keys: set[str]) -> tuple[int, ...]:
    return tuple(note.number for note in notes if _concerns(note.keys, keys))


def _touches(span: Span, monday: date) -> bool:
    return span.starts_on < monday + timedelta(days=7) and span.ends_on >= monday


def _others(
    firm: Firm, days: tuple[Day, ...], causes: Causes, notes: tuple[Note, ...], monday: date, marker: _Marker
) -> Iterator[DayOfTrades]:
    spans = [span for span in causes.spans.values() if span.visit_id and _touches(span, monday)]
    due: dict[date, list[Order]] = defaultdict(list)
    orders = Order.objects.filter(
        firm=firm, state=Order.State.PLACED, expected_on__gte=monday, expected_on__lt=monday + timedelta(days=7)
    )
    for order in orders.select_related("supplier", "job"):
        due[order.expected_on].append(order)
    for day in days:
        on_day = [span for span in spans if day.is_working and span.starts_on <= day.on <= span.ends_on]
        yield DayOfTrades(day, tuple(_visit(span, day, notes, marker) for span in on_day), tuple(due[day.on]))


def _visit(span: Span, day: Day, notes: tuple[Note, ...], marker: _Marker) -> VisitOnDay:
    starts_late = span.starts_on == day.on and span.starts_half == Half.AFTERNOON
    ends_early = span.ends_on == day.on and span.ends_half == Half.MORNING
    label = "afternoon" if starts_late else "morning" if ends_early else "all day"
    numbers = _numbers(notes, _visit_keys(span))
    is_risky = span.starts_on == day.on and span.safe_on is not None and span.safe_on > day.on
    safe_on = span.safe_on if is_risky else None
    return VisitOnDay(span.visit, label, safe_on, numbers, marker.is_held(span), marker.can_hold(span))


def _reasons(causes: Causes, monday: date) -> Iterator[Reason]:
    starting = [span for span in causes.spans.values() if monday <= span.starts_on < monday + timedelta(days=7)]
    for span in sorted(starting, key=lambda span: (span.starts_on, span.starts_half)):
        steps = causes.chain(span_key(span))
        if steps and steps[0].words:
            yield Reason(tuple(steps), start_range(span))


def _overdue(firm: Firm, today: date) -> Iterator[Visit]:
    """Accepted visits that should be over, and nobody has said whether they took place."""
    rows = Visit.objects.filter(firm=firm, state=Visit.State.ACCEPTED, starts_on__lt=today)
    for row in rows.select_related("kind", "area", "job", "contact"):
        if row.starts_on + timedelta(days=int(row.length_days)) < today:
            yield row


def has_other_half(booking: Booking) -> bool:
    """Whether the person does the same work in the day's other half, so that both can move together."""
    same = Booking.objects.filter(
        plan=booking.plan_id, person=booking.person_id, package=booking.package_id, on=booking.on
    )
    return same.exclude(half=booking.half).exists()


def has_planned_jobs(firm: Firm) -> bool:
    return Job.objects.filter(firm=firm, state__in=PLANNED_STATES).exists()

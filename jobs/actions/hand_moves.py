"""Moves by hand: each makes a pin the planner keeps, says what it breaks, and can be taken back."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from jobs.actions.permission import Refused, require_office
from jobs.actions.plan_by_hand import Moved, copy_issued, recheck, refuse_time
from jobs.actions.plan_rows import CHANGED_MEANWHILE, lock_draft
from jobs.actions.visit_holds import put_back
from jobs.core.stages import Half
from jobs.models import Booking, Firm, Person, Pin, Plan, User
from jobs.queries.firm_calendar import load_calendar
from jobs.queries.plans import list_last_move


@dataclass(frozen=True)
class Place:
    """Where a booking is: whose, and in which session."""

    on: date
    half: str
    person: Person

    def __str__(self) -> str:
        return f"{self.person}, {self.on:%A} {self.on.day} {self.on:%B}, {Half(self.half).label}"


@transaction.atomic
def move_booking(
    *, booking: Booking, on: date, half: str, person: Person, version: int, by: User, now: datetime,
    whole_day: bool = False,
) -> Moved:
    """Put a booking elsewhere and pin it there; with `whole_day`, the day's other half of the same work too.

    A move on the issued plan first makes a draft of it. What the move breaks is told, not forbidden.
    """
    require_office(by, booking, person)
    plan, row = _draft_and_row(booking, version, by, now)
    moves = _moves(row, Place(on, half, person), whole_day)
    for moved, target in moves:
        _refuse_impossible(moved, target, now)
    places = {moved.pk: _place(moved) for moved, _ in moves}
    for moved, target in moves:
        _pin(moved, places[moved.pk], target, by, now)
        _put(moved, target)
    breaks = recheck(plan, now)
    return Moved(plan, _move_words(moves), breaks)


def _move_words(moves: list[tuple[Booking, Place]]) -> str:
    row, target = moves[0]
    when = f"{target.person}, {target.on:%A} {target.on.day} {target.on:%B} all day" if len(moves) > 1 else str(target)
    return f"{row.package}, {row.package.job}: now {when}."


@transaction.atomic
def remove_pin(*, pin: Pin, by: User, now: datetime) -> Moved:
    """Let the planner decide again; the booking stays where it is until the next plan."""
    require_office(by, pin)
    draft = lock_draft(pin.firm)
    words = f"{pin.package or pin.visit} is no longer held. It stays where it is until you plan again."
    pin.delete()
    return Moved(draft, words, recheck(draft, now) if draft else ())


@transaction.atomic
def undo_last_move(*, firm: Firm, version: int, by: User, now: datetime) -> Moved:
    """Take the last hand move back: its pins go, and what it moved returns where it still stands."""
    require_office(by, firm)
    pins = list_last_move(firm)
    if not pins:
        raise Refused("There is no hand move to take back.")
    draft = lock_draft(firm)
    if draft is None or draft.version != version:
        raise Refused(CHANGED_MEANWHILE, field="version")
    words = [_take_back(draft, pin, by, now) for pin in pins]
    return Moved(draft, words[0], recheck(draft, now))


def _take_back(draft: Plan, pin: Pin, by: User, now: datetime) -> str:
    if pin.visit:
        return put_back(draft, pin, by, now)
    row = _row_of(draft, pin)
    pin.delete()
    if row is None or pin.was_person is None:
        return f"{pin.package} is no longer held. A later plan had moved it, so plan again to place it."
    back = Place(pin.was_on, pin.was_half, pin.was_person)
    _refuse_twice(row, back)
    if pin.was_pinned:
        Pin.objects.create(
            firm_id=pin.firm_id, person=back.person, package=pin.package, on=back.on, half=back.half, made_by=by, made_at=now,
            is_alongside=pin.is_alongside,
        )
    _put(row, back)
    return f"{pin.package}, {pin.package.job}: back to {back}."


def _draft_and_row(booking: Booking, version: int, by: User, now: datetime) -> tuple[Plan, Booking]:
    """The draft and the booking in it, taken over from the issued plan when there is no draft yet."""
    draft = lock_draft(booking.firm)
    if booking.plan.state == Plan.State.ISSUED and draft is None:
        draft = copy_issued(booking.plan, version, by, now)
        return draft, draft.bookings.select_related("person", "package__area", "package__job").get(
            person_id=booking.person_id, package_id=booking.package_id, on=booking.on, half=booking.half
        )
    if draft is None or booking.plan_id != draft.pk or draft.version != version:
        raise Refused(CHANGED_MEANWHILE, field="version")
    return draft, booking


def _moves(row: Booking, target: Place, whole_day: bool) -> list[tuple[Booking, Place]]:
    if not whole_day:
        return [(row, target)]
    same_day = Booking.objects.filter(plan=row.plan_id, person=row.person_id, package=row.package_id, on=row.on)
    rows = same_day.select_related("firm", "person", "package__area", "package__job").order_by("half")
    return [(moved, Place(target.on, moved.half, target.person)) for moved in rows]


def _place(row: Booking) -> Place:
    return Place(row.on, row.half, row.person)


def _refuse_impossible(row: Booking, target: Place, now: datetime) -> None:
    """What no plan can hold, whoever wants it."""
    if not target.person.is_active:
        raise Refused(f"{target.person} no longer works for you. Choose someone else.", field="person")
    refuse_time(row.firm, target.on, target.half, now)
    _refuse_twice(row, target)


def _refuse_twice(row: Booking, target: Place) -> None:
    there = Booking.objects.filter(
        plan=row.plan_id, person=target.person, package=row.package_id, on=target.on, half=target.half
    )
    if there.exists():
        raise Refused(f"{target.person} is on that work then already. Choose another time or person.", field="on")


def _pin(row: Booking, was: Place, target: Place, by: User, now: datetime) -> None:
    held = Pin.objects.filter(firm=row.firm_id, package=row.package_id, person=was.person, on=was.on, half=was.half)
    was_pinned = held.exists()
    held.delete()
    Pin.objects.create(
        firm_id=row.firm_id, person=target.person, package_id=row.package_id, on=target.on, half=target.half,
        was_on=was.on, was_half=was.half, was_person=was.person, was_pinned=was_pinned, made_by=by, made_at=now,
        is_alongside=row.is_alongside,
    )


def _put(row: Booking, target: Place) -> None:
    row.on, row.half, row.person = target.on, target.half, target.person
    hours = load_calendar(row.firm, target.on).hours(Half(target.half))
    row.hours = min(row.hours, Decimal(str(hours)))
    row.save(update_fields=["on", "half", "person", "hours"])


def _row_of(plan: Plan, pin: Pin) -> Booking | None:
    rows = Booking.objects.filter(plan=plan, person=pin.person_id, package=pin.package_id, on=pin.on, half=pin.half)
    return rows.select_related("firm", "person", "package__area", "package__job").first()

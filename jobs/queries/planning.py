"""Rows → the planner's problem and plan. A fixed number of queries, however many jobs there are."""

from collections.abc import Iterable
from datetime import date, timedelta
from math import ceil

from jobs.core.planning import problem as core
from jobs.core.stages import Half
from jobs.core.workdays import Sessions, sessions_between
from jobs.models import Booking, Firm, Pin, Plan, ToldDate, Visit
from jobs.queries import stock
from jobs.queries.firm_calendar import load_calendar
from jobs.queries.planning_crew import load_people
from jobs.queries.planning_keys import job_key, package_key, person_key, pin_key, visit_key
from jobs.queries.planning_work import Work, core_links, core_packages, core_visits, load_work

SHORTEST_HORIZON = timedelta(weeks=16)
LONGEST_HORIZON = timedelta(weeks=104)


def load_problem(firm: Firm, today: date, half: Half = Half.MORNING) -> core.Problem:
    """What the planner is asked, from `half` of `today` on."""
    work = load_work(firm)
    sessions = _window(firm, work, today)
    people = load_people(firm, sessions, today)
    first = sessions.first_on_or_after(today, half)
    return core.Problem(
        sessions=sessions,
        people=people,
        packages=core_packages(work, sessions, stock.load_arrivals(firm, today)),
        visits=core_visits(work, sessions, today),
        links=core_links(work),
        pins=tuple(_pins(firm, work, sessions, first, {person.key for person in people})),
        told=tuple(_told(firm, work, sessions)),
        promises=tuple(_promises(work, sessions)),
        bookings=load_issued_bookings(firm, sessions, today),
        first_session=first,
        job_names={job_key(pk): job.name for pk, job in work.jobs.items()},
    )


def _window(firm: Firm, work: Work, today: date) -> Sessions:
    """From this week's Monday, or the first day of a visit under way, to well past the last of the work."""
    monday = today - timedelta(days=today.weekday())
    under_way = (row.starts_on for row in work.visits if row.state == Visit.State.ACCEPTED)
    recent = (on for on in under_way if on >= today - timedelta(days=28))
    return sessions_between(load_calendar(firm, today), min([monday, *recent]), _horizon(work, today))


def _horizon(work: Work, today: date) -> date:
    """One electrician alone could do all the work twice over, and every named day lies within."""
    work_weeks = timedelta(weeks=ceil(work.total_hours() / 20))
    named = [row.starts_on for row in work.visits if row.starts_on]
    named += [job.promised_finish_on for job in work.jobs.values() if job.promised_finish_on]
    named += [job.earliest_start_on for job in work.jobs.values() if job.earliest_start_on]
    named += [on for days in work.suggested.values() for on, _ in days]
    named += [row.not_before_on for row in (*work.packages, *work.visits) if row.not_before_on]
    longest = today + LONGEST_HORIZON
    return min(min(max([today, *named]), longest) + SHORTEST_HORIZON + work_weeks, longest)


def _pins(firm: Firm, work: Work, sessions: Sessions, first: int, people: set[str]) -> Iterable[core.Pin]:
    """Hand decisions that still lie ahead, of work that is still planned and people who are still here."""
    coming = (row for row in work.visits if row.state != Visit.State.CANCELLED)
    activities = {package_key(row.pk) for row in work.packages} | {visit_key(row.pk) for row in coming}
    for row in Pin.objects.filter(firm=firm).order_by("pk"):
        number = sessions.index(row.on, Half(row.half))
        activity = package_key(row.package_id) if row.package_id else visit_key(row.visit_id)
        person = person_key(row.person_id) if row.person_id else None
        if number is not None and number >= first and activity in activities and person in people | {None}:
            yield core.Pin(pin_key(row.pk), activity, number, person, row.is_alongside)


def load_told(firm: Firm, visit_pks: Iterable[int]) -> dict[int, ToldDate]:
    """Visit pk → what was last said about it."""
    rows = ToldDate.objects.filter(firm=firm, visit_id__in=visit_pks).order_by("told_at", "pk")
    return {row.visit_id: row for row in rows}


def _told(firm: Firm, work: Work, sessions: Sessions) -> Iterable[core.Told]:
    open_visits = {row.pk: row for row in work.visits if row.state not in {Visit.State.DONE, Visit.State.CANCELLED}}
    for pk, row in load_told(firm, open_visits).items():
        # Who suggested other days is no longer held to the date they were told.
        if row.starts_on and row.starts_on >= sessions.first_on and row.answer != ToldDate.Answer.SUGGESTED:
            half = Half(row.starts_half or Half.MORNING)
            contact = open_visits[pk].contact
            yield core.Told(
                activity=visit_key(pk),
                session=sessions.first_on_or_after(row.starts_on, half),
                to=contact.name if contact else open_visits[pk].kind.get_trade_display(),
            )


def _promises(work: Work, sessions: Sessions) -> Iterable[core.Promise]:
    for job in work.jobs.values():
        if job.promised_finish_on:
            yield core.Promise(
                job=job_key(job.pk),
                session=sessions.first_on_or_after(min(job.promised_finish_on, sessions.last_on) + timedelta(days=1)) - 1,
                on=job.promised_finish_on,
                to=job.customer.name if job.customer else "",
            )


def load_issued_bookings(firm: Firm, sessions: Sessions, today: date) -> tuple[core.Booking, ...]:
    """What people hold from `today` on."""
    rows = Booking.objects.filter(firm=firm, plan__state=Plan.State.ISSUED, on__gte=today).order_by("on", "half", "pk")
    return tuple(core_bookings(rows, sessions))


def core_bookings(rows: Iterable[Booking], sessions: Sessions) -> Iterable[core.Booking]:
    """The planner's bookings; those on a day nobody works have no session and are left out."""
    for row in rows:
        number = sessions.index(row.on, Half(row.half))
        if number is not None:
            person, package = person_key(row.person_id), package_key(row.package_id)
            yield core.Booking(number, person, package, float(row.hours), row.is_alongside)

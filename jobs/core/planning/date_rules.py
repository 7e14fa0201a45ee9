"""Rules about when things happen."""

from collections.abc import Iterator
from datetime import date, timedelta

from jobs.core.planning.plan import Broken, Span
from jobs.core.planning.problem import Link, LinkKind, Person, Pin, Problem, Visit
from jobs.core.planning.reading import Reading, broken

A_MOMENT = 1e-6
"""Fractions of a session closer than this are the same."""


def everything_is_planned(reading: Reading) -> Iterator[Broken]:
    """Every package and visit not yet done has its place."""
    for activity in (*reading.problem.open_packages(), *reading.problem.open_visits()):
        if activity.key not in reading.plan.spans:
            yield broken(everything_is_planned, f"{reading.title(activity.key)} has no place in the plan.", activity.key)


def nothing_new_starts_in_the_past(reading: Reading) -> Iterator[Broken]:
    """Nothing starts before the first session that can be planned, but a visit in the session it was agreed for."""
    now = reading.problem.first_session
    for activity, span in reading.spans():
        agreed = isinstance(activity, Visit) and activity.accepted == span.first
        if span.first < now and not agreed:
            yield broken(
                nothing_new_starts_in_the_past,
                f"{reading.title(span.key)} is planned for {reading.when(span.first)}, which is past.",
                span.key,
            )


def work_follows_what_it_waits_for(reading: Reading) -> Iterator[Broken]:
    """Links hold, with their lags, also those that count from work already begun or done."""
    for link, before, after in reading.linked():
        if link.kind != LinkKind.INSIDE and _too_early(reading.problem, link, before, after):
            yield broken(work_follows_what_it_waits_for, _waits_words(reading, link, before, after), link.before, link.after)
    for link in reading.problem.links:
        since = _past_of(reading, link)
        if since and link.after in reading.plan.spans and _too_soon(reading.problem, link, since, reading.plan.spans[link.after]):
            yield broken(
                work_follows_what_it_waits_for,
                f"{reading.title(link.after)} starts too soon after {reading.title(link.before)}{_because(link)}.",
                link.before,
                link.after,
            )


def _too_early(problem: Problem, link: Link, before: Span, after: Span) -> bool:
    if link.kind == LinkKind.START_START and getattr(problem.activities()[link.before], "started_on", None):
        return False
    last = before.first if link.kind == LinkKind.START_START else before.last
    if link.lag_days:
        day = problem.sessions.on(last) + timedelta(days=link.lag_days)
        is_too_early = after.first < problem.sessions.first_on_or_after(day) + link.lag_sessions
    elif link.kind == LinkKind.START_START:
        is_too_early = after.first < last + link.lag_sessions or after.starts_at < before.starts_at - A_MOMENT
    else:
        is_too_early = bool(link.lag_sessions) and after.first < last + 1 + link.lag_sessions
    return is_too_early or (link.kind == LinkKind.FINISH_START and after.starts_at < before.ends_at - A_MOMENT)


def _past_of(reading: Reading, link: Link) -> date | None:
    """The day already gone from which a link counts."""
    before = reading.activities[link.before]
    if link.kind == LinkKind.START_START:
        return getattr(before, "started_on", None) or before.done_on
    return before.done_on if link.kind == LinkKind.FINISH_START else None


def _too_soon(problem: Problem, link: Link, since: date, after: Span) -> bool:
    if not link.lag_days and not link.lag_sessions:
        return False
    day = since + timedelta(days=link.lag_days or 1)
    return after.first < problem.sessions.first_on_or_after(day) + link.lag_sessions


def _waits_words(reading: Reading, link: Link, before: Span, after: Span) -> str:
    event = f"starts {reading.when(before.first)}" if link.kind == LinkKind.START_START else f"ends {reading.when(before.last)}"
    return (
        f"{reading.title(link.after)} starts {reading.when(after.first)}, too early after "
        f"{reading.title(link.before)}, which {event}{_because(link)}."
    )


def _because(link: Link) -> str:
    lag = [f"{link.lag_days} days" if link.lag_days else "", f"{link.lag_sessions} half days" if link.lag_sessions else ""]
    words = [word for word in (link.reason, *lag) if word]
    return f" ({', '.join(words)})" if words else ""


def inside_work_stays_inside(reading: Reading) -> Iterator[Broken]:
    """What belongs inside other work runs only while that does; where it takes longer, it only starts then."""
    for link, host, inner in reading.linked():
        if link.kind == LinkKind.INSIDE and not _is_inside(reading, link, host, inner):
            words = f"must fall within {reading.title(link.before)}{_because(link)}."
            yield broken(inside_work_stays_inside, f"{reading.title(link.after)} {words}", link.before, link.after)


def _is_inside(reading: Reading, link: Link, host: Span, inner: Span) -> bool:
    """Within the host's sessions; with a host that takes less time than it does, only its start must be."""
    has_begun = getattr(reading.activities[link.before], "started_on", None) is not None
    is_longer = inner.last + 1 - inner.first > host.ends_at - host.starts_at + A_MOMENT
    return (has_begun or inner.first >= host.first) and (inner.first if is_longer else inner.last) <= host.last


def accepted_visits_stay(reading: Reading) -> Iterator[Broken]:
    """A visit starts in the session agreed with the trade."""
    for visit, span in reading.visits():
        if visit.accepted is not None and span.first != visit.accepted:
            yield broken(
                accepted_visits_stay,
                f"{reading.title(visit.key)} was agreed for {reading.when(visit.accepted)} "
                f"but is planned for {reading.when(span.first)}.",
                visit.key,
            )


def trades_come_when_they_work(reading: Reading) -> Iterator[Broken]:
    """A visit not agreed yet starts in no session the trade does not work or said it cannot come."""
    for visit, span in reading.visits():
        if visit.accepted is None and span.first in visit.closed:
            yield broken(
                trades_come_when_they_work,
                f"{reading.title(visit.key)}: they do not work on {reading.when(span.first)}.",
                visit.key,
            )
        if visit.accepted is None and span.first in visit.declined:
            yield broken(
                trades_come_when_they_work,
                f"{reading.title(visit.key)}: they cannot come on {reading.when(span.first)}.",
                visit.key,
            )


def visits_last_as_long_as_agreed(reading: Reading) -> Iterator[Broken]:
    """A visit takes its number of half days, those its trade does not work left out, but for the first."""
    for visit, span in reading.visits():
        worked = sum(s == span.first or s not in visit.closed for s in range(span.first, span.last + 1))
        if worked != visit.length_sessions:
            yield broken(
                visits_last_as_long_as_agreed,
                f"{reading.title(visit.key)} needs {visit.length_sessions} half days but has {worked}.",
                visit.key,
            )


def nothing_starts_before_its_date(reading: Reading) -> Iterator[Broken]:
    """Nothing starts before its own `not_before`."""
    for activity, span in reading.spans():
        if span.first < activity.not_before:
            yield broken(
                nothing_starts_before_its_date,
                f"{reading.title(span.key)} starts {reading.when(span.first)} "
                f"but may not before {reading.when(activity.not_before)}.",
                span.key,
            )


def deliveries_have_arrived(reading: Reading) -> Iterator[Broken]:
    """A package starts once everything it waits for has come and can be used."""
    for package, span in reading.packages():
        for arrival in package.arrivals:
            if span.first < arrival.session:
                yield broken(
                    deliveries_have_arrived,
                    f"{reading.title(package.key)} starts {reading.when(span.first)} "
                    f"but {arrival.words} can be used only from {reading.when(arrival.session)}.",
                    package.key,
                )


def pins_are_kept(reading: Reading) -> Iterator[Broken]:
    """What was put somewhere by hand stays there, people as well."""
    for pin in reading.problem.pins:
        span = reading.plan.spans.get(pin.activity)
        if span is not None and pin.person is None and span.first != pin.session:
            words = f"was put on {reading.when(pin.session)} by hand but is planned for {reading.when(span.first)}."
            yield broken(pins_are_kept, f"{reading.title(pin.activity)} {words}", pin.activity, pin.key)
        if span is not None and pin.person in reading.people:
            yield from _person_pin(reading, pin, reading.people[pin.person])


def _person_pin(reading: Reading, pin: Pin, person: Person) -> Iterator[Broken]:
    if person not in reading.present(pin.activity, pin.session):
        where = f"{reading.title(pin.activity)} for {reading.when(pin.session)}"
        words = f"{person.name} was put on {where} by hand but is not booked on it."
        yield broken(pins_are_kept, words, pin.activity, person.key, pin.key)


def open_boards_are_kept_clear(reading: Reading) -> Iterator[Broken]:
    """Sessions worked count: boards go back down, screwed and marked, the same day (common practice, no source)."""
    inside = {frozenset((link.before, link.after)) for link in reading.problem.links if link.kind == LinkKind.INSIDE}
    for package, _ in reading.packages():
        for other, _ in reading.spans() if package.keeps_clear else ():
            is_there = other.job == package.job and other.area in package.keeps_clear and other.key != package.key
            is_exempt = frozenset((package.key, other.key)) in inside
            if is_there and not is_exempt and reading.worked(package.key) & reading.worked(other.key):
                words = f"runs while boards are open for {reading.title(package.key)}."
                yield broken(open_boards_are_kept_clear, f"{reading.title(other.key)} {words}", package.key, other.key)


def work_that_must_close_closes_the_same_day(reading: Reading) -> Iterator[Broken]:
    """Such a package starts and ends on one day."""
    sessions = reading.problem.sessions
    for package, span in reading.packages():
        if package.must_close_same_day and sessions.on(span.first) != sessions.on(span.last):
            yield broken(
                work_that_must_close_closes_the_same_day,
                f"{reading.title(package.key)} must close the day it starts "
                f"but runs from {reading.when(span.first)} to {reading.when(span.last)}.",
                package.key,
            )

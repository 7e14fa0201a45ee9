"""Why everything starts when it does: the binding cause of each start, for any plan."""

from collections.abc import Iterator
from datetime import timedelta

from jobs.core.planning.plan import Cause, CauseKind, Plan, Span
from jobs.core.planning.problem import Link, LinkKind, Package, Problem, Visit
from jobs.core.planning.reading import Activity, Reading
from jobs.core.planning.words import listed, when, when_starts


def chain(problem: Problem, plan: Plan, key: str) -> list[tuple[str, Cause]]:
    """(activity, cause) from `key` back to what needs no further reason. Empty when `key` has no place in the plan."""
    found, reading = {}, Reading(problem, plan)
    while key is not None and key in plan.spans and key not in found:
        found[key] = plan.causes.get(key) or cause(reading, key)
        key = found[key].because_of
    return list(found.items())


def causes(problem: Problem, plan: Plan) -> dict[str, Cause]:
    """The binding cause of every activity of a plan."""
    reading = Reading(problem, plan)
    return {key: cause(reading, key) for key in plan.spans}


def cause(reading: Reading, key: str) -> Cause:
    """What keeps an activity from starting half a day earlier: the first of these that does."""
    activity, span = reading.activities[key], reading.plan.spans[key]
    for reasons in (_agreed, _put_by_hand, _has_begun, _waits, _dates, _now, _boards, _trade, _same_day, _crew, _told):
        for found in reasons(reading, activity, span):
            return found
    return Cause(CauseKind.FLOW, "placed here so that work as a whole ends early and without gaps")


def _agreed(reading: Reading, activity: Activity, span: Span) -> Iterator[Cause]:
    if isinstance(activity, Visit) and activity.accepted == span.first:
        yield Cause(CauseKind.ACCEPTED, f"{activity.title} agreed for {_starts(reading, span.first)}")


def _put_by_hand(reading: Reading, activity: Activity, span: Span) -> Iterator[Cause]:
    for pin in reading.problem.pins:
        if pin.activity == activity.key and pin.session == span.first:
            who = f"{reading.people[pin.person].name} put on it" if pin.person in reading.people else "put there"
            yield Cause(CauseKind.PIN, f"{who} by hand for {_starts(reading, span.first)}")


def _has_begun(reading: Reading, activity: Activity, span: Span) -> Iterator[Cause]:
    if getattr(activity, "started_on", None) and span.first <= reading.problem.first_session:
        yield Cause(CauseKind.STARTED, "already begun")


def _waits(reading: Reading, activity: Activity, span: Span) -> Iterator[Cause]:
    """The link that would break half a day earlier; of several, the one whose work ends last."""
    links = [link for link in reading.problem.links if link.after == activity.key and _binds(reading, link, span)]
    ends = {link: _end(reading, link) for link in links}
    for link in sorted(links, key=lambda link: ends[link], reverse=True):
        yield _link_cause(reading, link)


def _binds(reading: Reading, link: Link, after: Span) -> bool:
    before = reading.plan.spans.get(link.before)
    if before is None:
        return _past_binds(reading, link, after)
    if link.kind != LinkKind.FINISH_START:
        return _released(reading, link, before.first) >= after.first
    if not link.lag_days and not link.lag_sessions and not link.spare_sessions:
        return before.ends_at > after.first - 1 + 1e-6
    return _released(reading, link, before.last) >= after.first


def _released(reading: Reading, link: Link, session: int) -> int:
    """The first session a link allows, counted from the session its work starts or ends in."""
    past = link.kind == LinkKind.FINISH_START and not link.lag_days
    at = reading.problem.sessions.after_elapsed(session, link.lag_days) if link.lag_days else session + past
    return at + link.lag_sessions + link.spare_sessions


def _past_binds(reading: Reading, link: Link, after: Span) -> bool:
    done_on = reading.activities[link.before].done_on
    if done_on is None or link.kind == LinkKind.INSIDE or not link.lag_days:
        return False
    at = reading.problem.sessions.first_on_or_after(done_on + timedelta(days=link.lag_days))
    return at + link.lag_sessions == after.first > reading.problem.first_session


def _end(reading: Reading, link: Link) -> float:
    before = reading.plan.spans.get(link.before)
    return before.ends_at if before else -1.0


def _link_cause(reading: Reading, link: Link) -> Cause:
    title, before = reading.activities[link.before].title, reading.plan.spans.get(link.before)
    if before is None:
        return Cause(CauseKind.DRYING, f"{link.reason or 'waiting'}: {link.lag_days} days from {title}")
    if link.kind == LinkKind.INSIDE:
        words = f"within {title}, which starts {_starts(reading, before.first)}{_in_hand(link)}"
        return Cause(CauseKind.INSIDE, words, link.before)
    if link.lag_days:
        last = before.last if link.kind == LinkKind.FINISH_START else before.first
        words = f"{link.reason or 'waiting'}: {link.lag_days} days from {title}, {_day(reading, last)}{_in_hand(link)}"
        return Cause(CauseKind.DRYING, words, link.before)
    event = (
        f"starts {_starts(reading, before.first)}" if link.kind == LinkKind.START_START else f"ends {reading.when(before.last)}"
    )
    return Cause(CauseKind.PREDECESSOR, f"{title} {event}{_in_hand(link)}", link.before)


def _in_hand(link: Link) -> str:
    if not link.spare_sessions:
        return ""
    days = link.spare_sessions / 2
    return f", then {days:g} day{'' if days == 1 else 's'} in hand so that the date holds"


def _dates(reading: Reading, activity: Activity, span: Span) -> Iterator[Cause]:
    for arrival in getattr(activity, "arrivals", ()):
        if arrival.session == span.first:
            yield Cause(CauseKind.DELIVERY, f"{arrival.words} can be used from {_starts(reading, span.first)}")
    if activity.not_before == span.first > reading.problem.first_session:
        yield Cause(CauseKind.NOT_BEFORE, f"not before {_starts(reading, span.first)}")


def _now(reading: Reading, activity: Activity, span: Span) -> Iterator[Cause]:
    if span.first <= reading.problem.first_session:
        yield Cause(CauseKind.NOW, "as soon as work can start")


def _boards(reading: Reading, activity: Activity, span: Span) -> Iterator[Cause]:
    for other, its_span in reading.spans():
        if its_span.last == span.first - 1 and other.job == activity.job and _keep_apart(activity, other):
            yield Cause(CauseKind.BOARDS_OPEN, f"boards are open: {other.title} ends {reading.when(its_span.last)}", other.key)


def _keep_apart(one: Activity, other: Activity) -> bool:
    return one.area in getattr(other, "keeps_clear", ()) or other.area in getattr(one, "keeps_clear", ())


def _trade(reading: Reading, activity: Activity, span: Span) -> Iterator[Cause]:
    if isinstance(activity, Visit) and span.first - 1 in activity.closed | activity.declined:
        how = "cannot come" if span.first - 1 in activity.declined else "do not work"
        yield Cause(CauseKind.TRADE_CLOSED, f"they {how} on {reading.when(span.first - 1)}")


def _same_day(reading: Reading, activity: Activity, span: Span) -> Iterator[Cause]:
    sessions = reading.problem.sessions
    if getattr(activity, "must_close_same_day", False) and sessions.on(span.first - 1) != sessions.on(
        max(span.first, span.last - 1)
    ):
        yield Cause(CauseKind.SAME_DAY, "must close the day it starts")


def _crew(reading: Reading, activity: Activity, span: Span) -> Iterator[Cause]:
    """What the people who start it do half a day before."""
    if not isinstance(activity, Package):
        return
    before, crew = span.first - 1, reading.crew(activity.key, span.first)
    elsewhere: dict[str, list[str]] = {}
    for person in crew:
        for booking in reading.by_person_and_session.get((person.key, before), ()):
            elsewhere.setdefault(booking.package, []).append(person.name)
    for key, names in sorted(elsewhere.items(), key=lambda pair: (-len(pair[1]), pair[0])):
        last = max(b.session for b in reading.bookings if b.package == key and b.session < span.first)
        yield Cause(CauseKind.CREW_ELSEWHERE, f"{listed(names)} on {reading.title(key)} until {reading.when(last)}", key)
    for person in crew:
        if before in person.away:
            yield Cause(CauseKind.PERSON_AWAY, f"{person.name} is {person.away[before] or 'away'} until {reading.when(before)}")


def _told(reading: Reading, activity: Activity, span: Span) -> Iterator[Cause]:
    told = [told for told in reading.problem.told if told.activity == activity.key and told.session == span.first]
    for each in told:
        yield Cause(CauseKind.TOLD, f"{each.to or 'they'} told {_starts(reading, span.first)}")
    if isinstance(activity, Visit) and activity.asked == span.first:
        yield Cause(CauseKind.TOLD, f"asked for {_starts(reading, span.first)}")


def _starts(reading: Reading, session: int) -> str:
    return when_starts(reading.problem, session)


def _day(reading: Reading, session: int) -> str:
    return when(reading.problem, session).rsplit(" ", 1)[0]

"""Input no plan can be made from, said in sentences: what is wrong, where, and what to do."""

from collections.abc import Iterator
from graphlib import CycleError, TopologicalSorter

from jobs.core.planning import crews
from jobs.core.planning.crews import Team
from jobs.core.planning.problem import LinkKind, Package, Problem
from jobs.core.planning.words import hours, listed, when


def sentences(problem: Problem) -> list[str]:
    """What stops any plan; empty when one can be made."""
    structure = [*_calendar(problem), *_unknown(problem), *_numbers(problem)]
    if structure:
        return structure
    team = crews.team(problem)
    return [*_circles(problem), *_crew(problem, team), *_same_day(problem, team)]


def warnings(problem: Problem) -> list[str]:
    """What a plan can be made in spite of, but somebody should put right."""
    return [*_past_wishes(problem), *_two_places(problem)]


def _calendar(problem: Problem) -> Iterator[str]:
    if problem.first_session >= len(problem.sessions):
        yield "The calendar has no working day left to plan in. Plan further ahead or open some days."
    if any(length <= 0 for length in problem.sessions.hours):
        yield "A morning or afternoon of the firm's calendar has no working hours. Set when each starts and ends."


def _unknown(problem: Problem) -> Iterator[str]:
    activities, people = problem.activities(), {person.key for person in problem.people}
    if len(activities) < len(problem.packages) + len(problem.visits):
        yield "Two packages or visits have the same key."
    for link in problem.links:
        if link.before not in activities or link.after not in activities:
            yield f"A dependency names work that is not in the programme ({link.before} → {link.after}). Remove it."
    for pin in problem.pins:
        if pin.activity not in activities or (pin.person is not None and pin.person not in people):
            yield f"A pin names work or a person that is not there ({pin.activity}). Remove it."
        elif not 0 <= pin.session < len(problem.sessions):
            yield f"The pin on {problem.title(pin.activity)} is outside the calendar. Move or remove it."


def _numbers(problem: Problem) -> Iterator[str]:
    for package in problem.packages:
        if package.labour_hours < 0:
            yield f"{problem.title(package.key)} has less than no hours of work left. Correct its hours."
        if any(mix.electricians < 0 or mix.helpers < 0 for mix in package.mixes):
            yield f"{problem.title(package.key)} takes a crew with fewer than no people. Correct its crews."
    for visit in problem.visits:
        if visit.length_sessions < 1:
            yield f"{problem.title(visit.key)} must last at least half a day. Correct its length."
        if visit.accepted is not None and not 0 <= visit.accepted < len(problem.sessions):
            yield f"{problem.title(visit.key)} was agreed for a day outside the calendar. Plan further ahead."
    for person in problem.people:
        if person.productivity < 0:
            yield f"{person.name} has a productivity below nothing. Correct it."


def _circles(problem: Problem) -> Iterator[str]:
    """Dependencies in a circle, also through work that must fall inside other work."""
    waits: dict[str, set[str]] = {key: set() for key in problem.activities()}
    hosts = {link.after: link.before for link in problem.links if link.kind == LinkKind.INSIDE}
    for link in problem.links:
        waits[link.after].add(link.before)
        host = hosts.get(link.after)
        if link.kind != LinkKind.INSIDE and host not in (None, link.before) and hosts.get(link.before) != host:
            waits[host].add(link.before)
    try:
        TopologicalSorter(waits).prepare()
    except CycleError as error:
        circle = [problem.title(key) for key in error.args[1]]
        yield f"These wait for each other in a circle: {' → '.join(circle)}. Remove one of the dependencies."


def _crew(problem: Problem, team: Team) -> Iterator[str]:
    packages = list(problem.open_packages())
    if packages and not problem.people:
        yield "There is nobody in the crew. Add people before planning."
        return
    if packages and not any(team.hours.values()):
        yield "Everybody is away for the whole of the time planned. Shorten an absence or plan further ahead."
        return
    for package in packages:
        if not any(_is_ever_there(problem, team, crew) for crew in crews.crews(team, package)):
            yield (
                f"No crew can do {problem.title(package.key)}: it takes "
                f"{'; or '.join(str(mix) for mix in package.mixes) or 'no crew at all'}"
                f"{', one of whom may test' if package.needs_tester else ''}, and they are never there together. "
                "Allow another crew, or change who may work on it."
            )


def _is_ever_there(problem: Problem, team: Team, crew: crews.Crew) -> bool:
    return any(
        crews.can_fill(frozenset(key for key in place if number in team.hours[key]) for place in crew.places)
        for number in range(problem.first_session, len(problem.sessions))
    )


def _same_day(problem: Problem, team: Team) -> Iterator[str]:
    lengths = problem.sessions.hours
    day = max((sum(lengths[i : i + 2]) for i in range(problem.first_session, len(lengths))), default=0)
    for package in problem.open_packages():
        pace = max((crew.pace for crew in crews.crews(team, package)), default=0)
        if package.must_close_same_day and 0 < pace * day < package.labour_hours:
            yield (
                f"{problem.title(package.key)} must close the day it starts, but its {hours(package.labour_hours)} of work "
                f"are more than the largest crew does in a day. Split it, allow more people, or let it stay open."
            )


def _past_wishes(problem: Problem) -> Iterator[str]:
    open_jobs = {activity.job for activity in (*problem.open_packages(), *problem.open_visits())}
    for promise in problem.promises:
        if promise.session < problem.first_session and promise.job in open_jobs:
            day = f"{promise.on:%a} {promise.on.day} {promise.on:%b}"
            yield (
                f"{problem.job_name(promise.job)} was promised for {day}, which is past, and has work left. "
                "Agree a new date with the customer."
            )
    for pin in problem.pins:
        if pin.session < problem.first_session:
            yield f"{problem.title(pin.activity)} is pinned to {when(problem, pin.session)}, which is past. Remove the pin."


def _two_places(problem: Problem) -> Iterator[str]:
    places: dict[tuple[str, int], list[str]] = {}
    activities = problem.activities()
    for pin in problem.pins:
        if pin.person is not None and isinstance(activities[pin.activity], Package):
            places.setdefault((pin.person, pin.session), []).append(pin.activity)
    for (person, session), pinned in places.items():
        if len({activities[key].job for key in pinned}) > 1:
            yield (
                f"{problem.person(person).name} is pinned to {listed(map(problem.title, pinned))} in the same half day, "
                f"{when(problem, session)}. Remove one of the pins."
            )

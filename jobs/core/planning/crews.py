"""Who can fill each place of a crew, and how fast each crew works.

A crew is a tuple of places; a place is the set of people who may fill it. Splitting a mix's helpers by
how fast they are gives several crews for one mix, so that a slow helper never makes a plan late. Places
hold for the whole of a plan: who is under 18 when it begins fills none alone and none at testing, also
after their birthday; then they may still go alongside.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from jobs.core.planning import availability
from jobs.core.planning.problem import Grade, Mix, Package, Person, Problem
from jobs.core.stages import Stage

Place = frozenset[str]
"""Keys of the people who may fill one place of a crew."""


@dataclass(frozen=True)
class Crew:
    """A mix with the places it needs and the work it surely does in an hour, in electrician hours."""

    mix: Mix
    places: tuple[Place, ...]
    pace: float


@dataclass(frozen=True)
class Team:
    """The people of a problem, with the hours and the pace each can be counted on for."""

    people: Mapping[str, Person]
    hours: Mapping[str, Mapping[int, float]]
    pace: Mapping[str, float]
    known: dict[tuple, tuple[Crew, ...]] = field(default_factory=dict, compare=False, repr=False)
    """Crews already worked out, by all they depend on."""


def team(problem: Problem) -> Team:
    """Everybody of a problem with their hours in each session and their pace."""
    hours = {person.key: availability.session_hours(problem, person) for person in problem.people}
    pace = {person.key: availability.pace(problem, person, hours[person.key]) for person in problem.people}
    return Team({person.key: person for person in problem.people}, hours, pace)


def crews(the_team: Team, package: Package) -> tuple[Crew, ...]:
    """Every crew that could do a package; empty when nobody can."""
    asked = package.mixes, package.helper_grade, package.needs_tester, _is_testing(package), package.excluded
    if asked not in the_team.known:
        the_team.known[asked] = _work_out(the_team, package)
    return the_team.known[asked]


def _work_out(the_team: Team, package: Package) -> tuple[Crew, ...]:
    found = [crew for mix in package.mixes for crew in _crews_of_mix(the_team, package, mix)]
    return tuple(crew for crew in found if crew.pace > 0 and can_fill(crew.places))


def _crews_of_mix(the_team: Team, package: Package, mix: Mix) -> Iterator[Crew]:
    leads = _leads(the_team, package)
    testers = frozenset(key for key in leads if the_team.people[key].may_test)
    lead_places = (testers,) * package.needs_tester + (leads,) * (mix.electricians - package.needs_tester)
    if len(lead_places) != mix.electricians or not mix.people:
        return
    for helper_pace in _helper_paces(the_team, package) if mix.helpers else [0.0]:
        helper_places = _helper_places(the_team, package, mix, helper_pace)
        pace = sum(_slowest(the_team, place) for place in lead_places + helper_places)
        yield Crew(mix, lead_places + helper_places, pace)


def _leads(the_team: Team, package: Package) -> Place:
    return frozenset(
        key
        for key, person in the_team.people.items()
        if person.grade == Grade.ELECTRICIAN
        and not person.must_be_accompanied
        and key not in package.excluded
        and the_team.pace[key] > 0
    )


def _helpers(the_team: Team, package: Package) -> Place:
    return frozenset(
        key
        for key, person in the_team.people.items()
        if person.grade >= package.helper_grade
        and key not in package.excluded
        and the_team.pace[key] > 0
        and not (_is_testing(package) and person.is_under_18)
    )


def _is_testing(package: Package) -> bool:
    return package.needs_tester or package.stage == Stage.TEST


def _helper_paces(the_team: Team, package: Package) -> list[float]:
    """Paces to tell helpers apart by; electricians count only where there is nobody else to help."""
    helpers = _helpers(the_team, package)
    below = {key for key in helpers if the_team.people[key].grade < Grade.ELECTRICIAN}
    return sorted({the_team.pace[key] for key in below or helpers})


def _helper_places(the_team: Team, package: Package, mix: Mix, least_pace: float) -> tuple[Place, ...]:
    helpers = frozenset(key for key in _helpers(the_team, package) if the_team.pace[key] >= least_pace)
    alone = frozenset(key for key in helpers if not the_team.people[key].must_be_accompanied)
    supervised = min(mix.helpers, mix.electricians)
    return (helpers,) * supervised + (alone,) * (mix.helpers - supervised)


def _slowest(the_team: Team, place: Place) -> float:
    return min((the_team.pace[key] for key in place), default=0.0)


def can_fill(places: Iterable[Place]) -> bool:
    """Whether different people can fill all the places at once."""
    return match(tuple(places)) is not None


def match(places: tuple[Place, ...]) -> dict[int, str] | None:
    """One person for each place (by its number), all different; None when there is no way."""
    taken: dict[str, int] = {}
    for number in range(len(places)):
        if not _find_room(places, number, taken, set()):
            return None
    return {number: key for key, number in taken.items()}


def _find_room(places: tuple[Place, ...], number: int, taken: dict[str, int], tried: set[str]) -> bool:
    for key in sorted(places[number] - tried):
        tried.add(key)
        if key not in taken or _find_room(places, taken[key], taken, tried):
            taken[key] = number
            return True
    return False


@lru_cache(maxsize=4096)
def may_carry_on(before: tuple[Place, ...], after: tuple[Place, ...]) -> bool:
    """Whether, whoever fills `before`, people among them can fill `after`."""
    stand_ins = tuple(frozenset(str(number) for number, place in enumerate(before) if place <= wanted) for wanted in after)
    return can_fill(stand_ins)

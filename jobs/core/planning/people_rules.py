"""Rules about who works, where, for how long and with whom."""

from collections import defaultdict
from collections.abc import Iterator

from jobs.core.planning.plan import Broken
from jobs.core.planning.problem import UNDER_18_DAY_HOURS, Booking, Grade, Mix, Package, Person
from jobs.core.planning.reading import Reading, broken
from jobs.core.planning.words import hours
from jobs.core.stages import Half, Stage

A_MINUTE = 1 / 60
"""Hours closer than this are the same."""


def bookings_lie_within_their_work(reading: Reading) -> Iterator[Broken]:
    """Nobody is booked on a package outside the sessions it touches."""
    for booking in reading.attendance:
        span = reading.plan.spans.get(booking.package)
        if span is None or not span.first <= booking.session <= span.last:
            yield broken(
                bookings_lie_within_their_work,
                f"{reading.people[booking.person].name} is booked on "
                f"{reading.title(booking.package)} for {reading.when(booking.session)}, outside its dates.",
                booking.package,
                booking.person,
            )


def nobody_is_booked_while_away(reading: Reading) -> Iterator[Broken]:
    """Nobody is booked in a session they are away in."""
    for booking in reading.attendance:
        person = reading.people[booking.person]
        if booking.session in person.away:
            yield broken(
                nobody_is_booked_while_away,
                f"{person.name} is {person.away[booking.session] or 'away'} on "
                f"{reading.when(booking.session)} but booked on {reading.title(booking.package)}.",
                booking.person,
                booking.package,
            )


def nobody_is_on_two_sites_at_once(reading: Reading) -> Iterator[Broken]:
    """In one session a person works on one job."""
    for (person, session), bookings in reading.attendance_by_person_and_session.items():
        jobs = sorted({reading.activities[booking.package].job for booking in bookings})
        if len(jobs) > 1:
            names = " and ".join(reading.problem.job_name(job) for job in jobs)
            yield broken(
                nobody_is_on_two_sites_at_once,
                f"{reading.people[person].name} is booked on {names} in the same half day, {reading.when(session)}.",
                person,
                *jobs,
            )


def nobody_works_longer_than_their_session(reading: Reading) -> Iterator[Broken]:
    """Hours booked in a session fit into it, and into the person's own hours then; to a minute."""
    for (key, session), bookings in reading.attendance_by_person_and_session.items():
        person, booked = reading.people[key], sum(booking.hours for booking in bookings)
        own = person.morning_hours if reading.problem.sessions[session].half == Half.MORNING else person.afternoon_hours
        most = min(reading.problem.sessions.hours[session], own if own is not None else float("inf"))
        if booked > most + A_MINUTE:
            yield broken(
                nobody_works_longer_than_their_session,
                f"{person.name} is booked for {hours(booked)} on {reading.when(session)} but works {hours(most)} then.",
                key,
            )


def day_and_week_limits_hold(reading: Reading) -> Iterator[Broken]:
    """What is worked before an eighteenth birthday is held to the limits of the young, all that is worked to one's own."""
    of_day: dict = defaultdict(float)
    of_week: dict = defaultdict(float)
    for booking in reading.attendance:
        person, on = reading.people[booking.person], reading.problem.sessions[booking.session].on
        for is_young in {False, person.is_young_in(booking.session)}:
            of_day[booking.person, is_young, on] += booking.hours
            of_week[booking.person, is_young, on.isocalendar()[:2]] += booking.hours
    for (key, is_young, on), booked in of_day.items():
        most = UNDER_18_DAY_HOURS if is_young else reading.people[key].daily_hours_limit
        yield from _over_limit(reading.people[key], is_young, booked, most, f"on {on:%a} {on.day} {on:%b}")
    for (key, is_young, (year, week)), booked in of_week.items():
        most = reading.people[key].most_young_weekly_hours if is_young else reading.people[key].weekly_hours_limit
        yield from _over_limit(reading.people[key], is_young, booked, most, f"in week {week} of {year}")


def _over_limit(person: Person, is_young: bool, booked: float, most: float | None, time: str) -> Iterator[Broken]:
    if most is not None and booked > most + A_MINUTE:
        young = "is under 18 and " if is_young else ""
        yield broken(
            day_and_week_limits_hold,
            f"{person.name} {young}may work {hours(most)} but is booked for {hours(round(booked, 2))} {time}.",
            person.key,
        )


def excluded_people_stay_off(reading: Reading) -> Iterator[Broken]:
    """Nobody is booked on a package they are kept off."""
    for key, person, session in _booked(reading):
        if person in reading.activities[key].excluded:
            yield broken(
                excluded_people_stay_off,
                f"{reading.people[person].name} is kept off this job but booked on "
                f"{reading.title(key)} for {reading.when(session)}.",
                key,
                person,
            )


def _booked(reading: Reading) -> Iterator[tuple[str, str, int]]:
    return ((b.package, b.person, b.session) for b in reading.attendance if isinstance(reading.activities[b.package], Package))


def young_workers_are_never_alone(reading: Reading) -> Iterator[Broken]:
    """Whoever is under 18 in a session has an electrician on the same package in it."""
    for (key, session), there in _attended(reading):
        for person in there:
            if person.is_young_in(session) and not any(_may_lead(other, session) for other in there):
                yield broken(
                    young_workers_are_never_alone,
                    f"{person.name} is under 18 and on {reading.title(key)} for {reading.when(session)} without an electrician.",
                    key,
                    person.key,
                )


def young_workers_never_test(reading: Reading) -> Iterator[Broken]:
    """Nobody under 18 is on a package of the test stage or on one that needs a tester, not even alongside."""
    for (key, session), there in _attended(reading):
        package = reading.activities[key]
        for person in there:
            if person.is_young_in(session) and (package.needs_tester or package.stage == Stage.TEST):
                yield broken(
                    young_workers_never_test,
                    f"{person.name} is under 18 and may not be on live testing: {reading.title(key)}, {reading.when(session)}.",
                    key,
                    person.key,
                )


def helpers_are_supervised(reading: Reading) -> Iterator[Broken]:
    """For each person who must be accompanied there is an electrician on the same package in the same session."""
    for (key, session), there in _attended(reading):
        supervised = [person for person in there if person.must_be_accompanied_in(session)]
        if len(supervised) > sum(_may_lead(person, session) for person in there):
            names = ", ".join(person.name for person in supervised)
            yield broken(
                helpers_are_supervised,
                f"{names} on {reading.title(key)} for {reading.when(session)} need an electrician each.",
                key,
                *(person.key for person in supervised),
            )


def tests_have_a_tester(reading: Reading) -> Iterator[Broken]:
    """Where a tester is needed, an electrician who may test does the work in every session."""
    for (key, session), crew in _crews(reading):
        if reading.activities[key].needs_tester and not any(
            person.may_test and _may_lead(person, session) for person in crew
        ):
            yield broken(tests_have_a_tester, f"Nobody on {reading.title(key)} for {reading.when(session)} may test.", key)


def crews_are_accepted(reading: Reading) -> Iterator[Broken]:
    """Those who do the work of a package in a session are one of its mixes."""
    for (key, session), crew in _crews(reading):
        package = reading.activities[key]
        if not any(_makes(package, mix, crew, session) for mix in package.mixes):
            names = ", ".join(person.name for person in crew)
            yield broken(
                crews_are_accepted,
                f"{names} on {reading.title(key)} for {reading.when(session)} are not a crew "
                f"it takes ({'; '.join(str(mix) for mix in package.mixes)}).",
                key,
            )


def labour_is_covered(reading: Reading) -> Iterator[Broken]:
    """The hours booked on a package, each at its person's productivity, do its labour; to a minute."""
    done: dict[str, float] = defaultdict(float)
    for booking in reading.bookings:
        done[booking.package] += booking.hours * reading.people[booking.person].productivity
    for package, _ in reading.packages():
        if done[package.key] < package.labour_hours - A_MINUTE:
            yield broken(
                labour_is_covered,
                f"{reading.title(package.key)} has {hours(package.labour_hours)} of work left but "
                f"people booked for {hours(round(done[package.key], 2))} of it.",
                package.key,
            )


def nobody_goes_alongside_where_they_may_not(reading: Reading) -> Iterator[Broken]:
    """Only beside an electrician who does the work, and where the work takes such help."""
    for booking in reading.attendance:
        package = reading.activities[booking.package]
        if booking.is_alongside and isinstance(package, Package) and not _may_go_alongside(reading, package, booking):
            yield broken(
                nobody_goes_alongside_where_they_may_not,
                f"{reading.people[booking.person].name} is alongside on {reading.title(package.key)} for "
                f"{reading.when(booking.session)}, with no electrician at work there or on work that takes no such help.",
                package.key,
                booking.person,
            )


def _may_go_alongside(reading: Reading, package: Package, booking: Booking) -> bool:
    is_with_lead = any(_may_lead(person, booking.session) for person in reading.crew(package.key, booking.session))
    return is_with_lead and reading.people[booking.person].grade >= package.helper_grade


def _attended(reading: Reading) -> Iterator[tuple[tuple[str, int], list[Person]]]:
    """Everyone on each package in each session, alongside or at work."""
    for key, session in dict.fromkeys((booking.package, booking.session) for booking in reading.attendance):
        if isinstance(reading.activities[key], Package):
            yield (key, session), reading.present(key, session)


def _crews(reading: Reading) -> Iterator[tuple[tuple[str, int], list[Person]]]:
    """Who does the work of each package in each session."""
    for key, session in reading.by_package_and_session:
        if isinstance(reading.activities[key], Package):
            yield (key, session), reading.crew(key, session)


def _may_lead(person: Person, session: int) -> bool:
    return person.grade == Grade.ELECTRICIAN and not person.must_be_accompanied_in(session)


def _makes(package: Package, mix: Mix, crew: list[Person], session: int) -> bool:
    """Whether a crew is this mix, someone of a higher grade standing in for a helper."""
    leads = sum(_may_lead(person, session) for person in crew)
    skilled = all(person.grade >= package.helper_grade for person in crew)
    return len(crew) == mix.people and leads >= mix.electricians and skilled

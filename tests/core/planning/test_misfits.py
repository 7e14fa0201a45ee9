from jobs.core.planning.build import Built, build
from jobs.core.planning.fast import fast_schedule
from jobs.core.planning.misfits import misfit, wrong_tasks
from jobs.core.planning.network import Schedule
from tests.core.planning.cast import ANN, BOB, after, package, problem, visit

WORK = problem(
    package(),
    visit(accepted=2),
    package("oak", job="oak"),
    links=(after("fix", "plaster"),),
    people=(ANN, BOB),
)


def shifted(built: Built, key: str, sessions: int) -> Schedule:
    """The quick schedule with one activity moved."""
    schedule, (task,), ticks = list(fast_schedule(built.network).schedule), built.tasks_of[key], built.network.bounds[1]
    first, end, start_tick, end_tick, *rest = schedule[task]
    moved = (first + sessions, end + sessions, start_tick + sessions * ticks, end_tick + sessions * ticks)
    schedule[task] = type(schedule[task])(*moved, *rest)
    return tuple(schedule)


def test_nothing_is_wrong_when_everything_is_kept() -> None:
    built = build(WORK)
    schedule = fast_schedule(built.network).schedule
    assert (misfit(built.network, schedule), wrong_tasks(built.network, schedule)) == (0, set())


def test_both_sides_are_wrong_when_work_ends_after_the_visit_that_waits_for_it() -> None:
    built = build(WORK)
    schedule = shifted(built, "fix", 1)
    assert misfit(built.network, schedule) == 1
    assert {built.parts[task].activity for task in wrong_tasks(built.network, schedule)} == {"fix", "plaster"}


def test_everyone_there_is_wrong_when_places_are_missing() -> None:
    built = build(problem(package(), package("oak", job="oak"), people=(ANN,)))
    first = fast_schedule(built.network).schedule[0]
    assert wrong_tasks(built.network, (first, first)) == {0, 1}

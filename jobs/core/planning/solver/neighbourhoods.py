"""Which tasks to set free together, the rest staying put: whole jobs, stretches of time, what is around a moved date."""

from random import Random

from jobs.core.planning.network import Network, Schedule

MOVED_SHARE = 0.5
"""Share of tries spent around a date that is not kept, while there is one."""


def free_tasks(network: Network, schedule: Schedule, random: Random, size: int) -> frozenset[int]:
    """About `size` tasks that have something to do with each other."""
    has_jobs, moved = len(network.aim.groups) > 1, _moved(network, schedule)
    if moved and random.random() < MOVED_SHARE:
        return with_carriers(schedule, _around(network, schedule, *random.choice(moved), size))
    chosen = _jobs(network, schedule, random, size) if has_jobs and random.random() < 0.5 else _stretch(schedule, random, size)
    return with_carriers(schedule, chosen)


def _moved(network: Network, schedule: Schedule) -> list[tuple[int, int]]:
    """Dates somebody counts on that are not kept: told ones first of all."""
    told, week = (wanted.items() for wanted in (network.aim.told, network.aim.week))
    moved = ([(task, at) for task, at in wanted if schedule[task].first != at] for wanted in (told, week))
    return next((some for some in moved if some), [])


def _around(network: Network, schedule: Schedule, task: int, wanted: int, size: int) -> set[int]:
    """The task, what it waits for, what waits for it, and what is on when it should start."""
    near = {task, *network.waits_for[task], *network.releases[task]}
    return near | set(_nearest(schedule, wanted, size - len(near)))


def _jobs(network: Network, schedule: Schedule, random: Random, size: int) -> set[int]:
    """Whole jobs, after the first those that overlap it, until there are enough."""
    groups = list(network.aim.groups)
    first = random.choice(groups)
    begin, end = _extent(schedule, first.tasks)
    rest = [group for group in groups if group is not first and _overlap(_extent(schedule, group.tasks), (begin, end))]
    random.shuffle(rest)
    chosen = set(first.tasks)
    for group in rest:
        if len(chosen) + len(group.tasks) <= size:
            chosen |= set(group.tasks)
    return chosen if len(chosen) <= 2 * size else set(random.sample(sorted(chosen), size))


def _extent(schedule: Schedule, tasks: tuple[int, ...]) -> tuple[int, int]:
    return min(schedule[task].first for task in tasks), max(schedule[task].end for task in tasks)


def _overlap(one: tuple[int, int], other: tuple[int, int]) -> bool:
    return one[0] < other[1] and other[0] < one[1]


def _stretch(schedule: Schedule, random: Random, size: int) -> set[int]:
    """Tasks nearest in time to a random one."""
    centre = random.choice(schedule)
    return set(_nearest(schedule, (centre.first + centre.end) / 2, size))


def _nearest(schedule: Schedule, middle: float, size: int) -> list[int]:
    nearest = sorted(range(len(schedule)), key=lambda task: abs((schedule[task].first + schedule[task].end) / 2 - middle))
    return nearest[: max(0, size)]


def with_carriers(schedule: Schedule, chosen: set[int]) -> frozenset[int]:
    """Tasks that carry on from each other go together."""
    pairs = [(task, placed.host) for task, placed in enumerate(schedule) if placed.host is not None]
    has_grown = True
    while has_grown:
        more = {t for pair in pairs if chosen & set(pair) for t in pair} - chosen
        chosen |= more
        has_grown = bool(more)
    return frozenset(chosen)

"""Breeding on a published instance that simple priorities do not solve (see `psplib_instances`)."""

from random import Random

from jobs.core.planning import classic, fast
from jobs.core.planning.breeding import Breeding
from jobs.core.planning.islands import breed_elsewhere
from jobs.core.planning.network import Network
from tests.core.planning.networks import is_kept
from tests.published.planning.psplib_instances import J30

HARD = next(project for name, _, project in J30 if name == "J30_249")


def network() -> Network:
    return classic.network(HARD)


def bred(steps: int, seed: int = 1) -> Breeding:
    breeding = Breeding(network(), fast.fast_schedule(network()), Random(seed))
    breeding.run(steps)
    return breeding


def test_schedules_get_better_when_bred() -> None:
    best = bred(600).best
    assert best.score < fast.fast_schedule(network()).score
    assert is_kept(network(), best.schedule)


def test_the_best_is_never_worse_than_the_start_when_bred() -> None:
    assert bred(0).best.score <= fast.fast_schedule(network()).score


def test_breeding_is_the_same_when_it_begins_the_same() -> None:
    assert bred(300).best == bred(300).best


def test_a_better_schedule_joins_when_found_elsewhere() -> None:
    breeding, better = bred(0), bred(600, seed=2).best
    breeding.take(better)
    assert breeding.best.score == better.score


def test_another_process_tells_what_it_finds_when_it_breeds() -> None:
    start, heard = fast.fast_schedule(network()), []
    breed_elsewhere(network(), lambda: start, heard.append, lambda: bool(heard), 1)
    assert heard[0].score < start.score

"""Breeding in another process, so that it really takes place at the same time; the best travels both ways."""

from collections.abc import Callable
from multiprocessing import get_context
from multiprocessing.connection import Connection
from random import Random

from jobs.core.planning.breeding import Breeding
from jobs.core.planning.network import Network
from jobs.core.planning.order_search import Found

ROUND = 40
"""Schedules made between looks at what the other side found."""

LOOK_EVERY_SECONDS = 0.02


def breed_elsewhere(
    network: Network, best: Callable[[], Found], hear: Callable[[Found], None], is_over: Callable[[], bool], random_seed: int
) -> None:
    """Breed in a process of its own until `is_over`; `hear` its better schedules, give it those of `best`.

    Returns at once where no process can be started.
    """
    spawn = get_context("spawn")
    near, far = spawn.Pipe()
    start = best()
    island = spawn.Process(target=_breed, args=(network, start, random_seed, far), daemon=True)
    try:
        island.start()
    except (OSError, AssertionError):
        return
    far.close()
    try:
        _exchange(near, start, best, hear, is_over)
    finally:
        island.kill()
        island.join()


def _exchange(
    line: Connection, known: Found, best: Callable[[], Found], hear: Callable[[Found], None], is_over: Callable[[], bool]
) -> None:
    while not is_over():
        try:
            if line.poll(LOOK_EVERY_SECONDS):
                hear(line.recv())
            if best().score < known.score:
                known = best()
                line.send(known)
        except (EOFError, OSError):
            return


def _breed(network: Network, start: Found, random_seed: int, line: Connection) -> None:
    breeding, told = Breeding(network, start, Random(random_seed)), start
    try:
        while True:
            breeding.run(ROUND)
            if breeding.best.score < told.score:
                line.send(breeding.best)
            told = breeding.best
            while line.poll():
                breeding.take(line.recv())
    except (EOFError, OSError, KeyboardInterrupt):
        return

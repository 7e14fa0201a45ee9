"""What works beside breeding on a classic network: the proof that nothing finishes sooner, then more breeding elsewhere."""

from concurrent.futures import ThreadPoolExecutor, wait
from dataclasses import replace

from jobs.core.planning.breeding import Breeding
from jobs.core.planning.islands import breed_elsewhere
from jobs.core.planning.network import Network
from jobs.core.planning.order_search import Found
from jobs.core.planning.shapes import Shapes
from jobs.core.planning.solver.best import Best
from jobs.core.planning.solver.finish_proof import FINISH, FinishProof
from jobs.core.planning.solver.settings import Settings

SMALL = 40
"""Tasks up to which a proof is always within reach: soon it gets all workers."""

BREEDING_SHARE = 0.04
"""Share of the time in which breeding keeps a worker even so."""

PROOF_SHARE = 0.2
"""Share of the time for a proof of a larger network, which comes soon or not at all."""

FIRST_TASKS = 20_000
"""Tasks placed by breeding before anything else: often enough to meet the bound."""


class ClassicModel:
    """`steps`: how many schedules the caller's thread should make now; 0 when its worker is needed for the proof."""

    tasks_a_second = 200_000

    def __init__(self, network: Network, shapes: Shapes, breeding: Breeding, best: Best, settings: Settings) -> None:
        self.network, self.breeding, self.best, self.settings = network, breeding, best, settings
        self.proof = FinishProof(network, shapes, breeding.packed, best)
        self.is_small = len(network.tasks) <= SMALL
        self.needs_all_workers = False
        for place in range(FINISH):
            best.prove(place, 0)
        best.prove(FINISH, breeding.packed.least_finish)

    @property
    def steps(self) -> int:
        """A few; none while every worker is at the proof."""
        return 0 if self.needs_all_workers else 20

    def begin(self) -> None:
        """A moment of breeding before the proof is asked for."""
        self.breeding.run(FIRST_TASKS // max(1, len(self.network.tasks)), lambda: self.settings.is_time_up)
        self.best.hear(self.breeding.best.schedule)

    def run(self) -> None:
        """A proof beside breeding; then the proof alone, or breeding here and elsewhere."""
        if self.settings.is_deterministic:
            self.proof.run(self.settings)
        elif self.is_small:
            self._prove_with_all()
        else:
            self.proof.run(self.settings.share(PROOF_SHARE))
            if self.settings.workers > 1 and not self._is_over():
                breed_elsewhere(self.network, self._found, self._hear, self._is_over, self.settings.random_seed + 1)

    def stop(self) -> None:
        """Interrupt the proof, if one is under way."""
        self.proof.stop()

    def note(self, is_better: bool) -> None:
        """When something better was found beside the proof, that should ask for less."""
        if is_better:
            self.proof.stop()

    def _prove_with_all(self) -> None:
        """After a while the caller's worker helps, and further ones if there are more; with one alone, it rests."""
        whole = self.settings.share(1.0)
        with ThreadPoolExecutor(max(1, self.settings.workers)) as workers:
            at_work = [workers.submit(self.proof.run, whole)]
            wait(at_work, whole.share(BREEDING_SHARE).seconds)
            self.needs_all_workers = True
            at_work += [workers.submit(self.proof.run, whole) for _ in range(self.settings.workers - 1)]
        for one in at_work:
            one.result()

    def _is_over(self) -> bool:
        return self.best.is_over or self.best.state.is_optimal

    def _found(self) -> Found:
        return replace(self.breeding.best, score=self.best.state.score, schedule=self.best.state.schedule)

    def _hear(self, found: Found) -> None:
        self.best.hear(found.schedule)

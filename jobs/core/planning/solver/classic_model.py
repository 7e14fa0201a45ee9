"""What works beside breeding on a classic network: the proof that nothing finishes sooner, then more breeding elsewhere."""

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
"""Tasks up to which a proof is always within reach: in the end it gets all workers."""

PROOF_SHARE = 0.2
"""Share of the time for a proof beside breeding, which comes soon or, on larger networks, not at all."""

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
        return 0 if self.needs_all_workers else 20

    def begin(self) -> None:
        """A moment of breeding before the proof is asked for."""
        self.breeding.run(FIRST_TASKS // max(1, len(self.network.tasks)), lambda: self.settings.is_time_up)
        self.best.hear(self.breeding.best.schedule)

    def run(self) -> None:
        """A proof beside breeding; then the proof alone, or breeding here and elsewhere."""
        self._prove(1, PROOF_SHARE)
        workers = 1 if self.settings.is_deterministic else self.settings.workers
        if self.is_small:
            self._prove(workers, 1.0)
        elif workers > 1 and not self._is_over():
            breed_elsewhere(self.network, self._found, self._hear, self._is_over, self.settings.random_seed + 1)

    def stop(self) -> None:
        self.proof.stop()

    def note(self, is_better: bool) -> None:
        """When something better was found beside the proof, that should ask for less."""
        if is_better:
            self.proof.stop()

    def _prove(self, workers: int, share: float) -> None:
        self.needs_all_workers = workers == self.settings.workers
        self.proof.run(replace(self.settings.share(share), workers=workers))
        self.needs_all_workers = False

    def _is_over(self) -> bool:
        return self.best.is_over or self.best.state.is_optimal

    def _found(self) -> Found:
        return replace(self.breeding.best, score=self.best.state.score, schedule=self.best.state.schedule)

    def _hear(self, found: Found) -> None:
        self.best.hear(found.schedule)

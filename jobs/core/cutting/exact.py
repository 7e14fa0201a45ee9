"""The best cut list by CP-SAT, one want after the other; the quick cuts seed it and stand when time ends."""

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from math import ceil
from time import monotonic
from typing import TYPE_CHECKING

from jobs.core.cut_list import USEFUL_METRES, Cut, CutList, Kind, Length, Request, Run, new_drum, split_cuttable
from jobs.core.cutting.first_fit import in_pulling_order, in_use_up_order, longest_first
from jobs.core.cutting.quick import cut_quickly

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

TICKS_PER_METRE = 100
WORK_PER_SECOND = 0.3
"""The solver's own measure of its work that it may do for each second asked for. Time is measured in work, since the
clock would make two runs stop at different cuts of the same merit, so that a list looked at, printed and cut anew
would differ for no reason."""
MOST_TIMES_SECONDS = 5
"""A machine so slow that work takes this much longer stops by the clock."""


def cut_exactly(request: Request, *, seconds: float = 2.0) -> CutList:
    """The best cut list found within `seconds`, never worse than `cut_quickly`.

    `is_proven` tells whether every want was proven best. Imports OR-Tools, about a second the first time.
    """
    seed = cut_quickly(request)
    if not seed.cuts:
        return replace(seed, is_proven=True)
    model = _Model(request, seed)
    cuts = model.solve(seconds)
    least = max(seed.least_new_drums, model.proven_new_drums)
    cut = {run for each in cuts for run in each.runs}
    found = CutList(cuts, tuple(run for run in request.runs if run not in cut), least, model.is_proven)
    return found if cuts and found.merit <= seed.merit else replace(seed, least_new_drums=least)


def _lengths(request: Request, seed: CutList) -> list[Length]:
    """What is in stores, and as many new drums as the quick cuts took: nobody needs more."""
    return [*in_use_up_order(request.lengths), *(new_drum(request, number + 1) for number in range(seed.new_drums))]


def _ticks(metres: Decimal) -> int:
    return int(metres * TICKS_PER_METRE)


class _Model:
    """`held[r, d]`: run r is cut from length d. `touched[d]`: d is cut into at all. Longest runs first."""

    def __init__(self, request: Request, seed: CutList) -> None:
        from ortools.sat.python import cp_model

        self.cp = cp_model
        self.model = cp_model.CpModel()
        self.runs = sorted(split_cuttable(request)[0], key=longest_first)
        self.lengths = _lengths(request, seed)
        self.size = [_ticks(run.metres) for run in self.runs]
        self.room = [_ticks(length.metres) for length in self.lengths]
        self.first_new = len(self.lengths) - seed.new_drums
        self.held = {
            (r, d): self.model.new_bool_var(f"run{r}_length{d}")
            for r in range(len(self.runs)) for d in range(len(self.lengths)) if self._may_hold(r, d)
        }
        self.uncut = {
            r: self.model.new_bool_var(f"uncut{r}")
            for r, run in enumerate(self.runs) if run.metres > request.new_drum_metres
        }
        self.touched = [self.model.new_bool_var(f"touched{d}") for d in range(len(self.lengths))]
        self.proven_new_drums, self.is_proven = 0, False
        self._add_constraints()
        self.model.add(sum(self.touched[self.first_new:]) >= seed.least_new_drums)
        self._hint({(self.lengths.index(cut.length), self.runs.index(run)) for cut in seed.cuts for run in cut.runs})

    def _may_hold(self, r: int, d: int) -> bool:
        """New drums are alike: numbered by their longest run, so the same cuts are not tried under other names."""
        return self.size[r] <= self.room[d] and d - self.first_new <= r

    def _add_constraints(self) -> None:
        for r in range(len(self.runs)):
            self.model.add_exactly_one([*self._of_run(r), *([self.uncut[r]] if r in self.uncut else [])])
        for d in range(len(self.lengths)):
            self.model.add(self._cut_from(d) <= self.room[d] * self.touched[d])
            self.model.add(self.touched[d] <= sum(self._of_length(d)))
        for d in range(self.first_new + 1, len(self.lengths)):
            self.model.add_implication(self.touched[d], self.touched[d - 1])

    def _of_run(self, r: int) -> list["cp_model.IntVar"]:
        return [variable for (run, _), variable in self.held.items() if run == r]

    def _of_length(self, d: int) -> list["cp_model.IntVar"]:
        return [variable for (_, length), variable in self.held.items() if length == d]

    def _cut_from(self, d: int) -> "cp_model.LinearExpr":
        return sum(self.size[r] * variable for (r, length), variable in self.held.items() if length == d)

    def _wants(self) -> Iterator["cp_model.LinearExpr"]:
        """What is minimised, in order; each adds its variables only when its turn comes."""
        yield sum(self.uncut.values())
        of_kind = {kind: [d for d, length in enumerate(self.lengths) if length.kind == kind] for kind in Kind}
        yield sum(self.touched[d] for d in of_kind[Kind.NEW])
        yield sum(self.touched[d] for d in of_kind[Kind.SEALED])
        yield -sum(self._cut_from(d) for d in of_kind[Kind.OFFCUT])
        yield self._scrap()
        yield -self._longest_left()

    def _scrap(self) -> "cp_model.LinearExpr":
        return sum(self._scrap_of(d) for d in range(len(self.lengths)))

    def _scrap_of(self, d: int) -> "cp_model.IntVar":
        useful = _ticks(USEFUL_METRES)
        scrap = self.model.new_int_var(0, useful, f"scrap{d}")
        is_scrap = self.model.new_bool_var(f"is_scrap{d}")
        left = self.room[d] - self._cut_from(d)
        self.model.add(left >= useful).only_enforce_if(self.touched[d], ~is_scrap)
        self.model.add(scrap >= left).only_enforce_if(self.touched[d], is_scrap)
        return scrap

    def _longest_left(self) -> "cp_model.IntVar":
        longest = self.model.new_int_var(0, max(self.room), "longest_left")
        is_longest = [self.model.new_bool_var(f"is_longest{d}") for d in range(len(self.lengths))]
        self.model.add_exactly_one(is_longest)
        for d, chosen in enumerate(is_longest):
            self.model.add_implication(chosen, self.touched[d])
            self.model.add(longest <= self.room[d] - self._cut_from(d)).only_enforce_if(chosen)
        return longest

    def solve(self, seconds: float) -> tuple[Cut, ...]:
        """The cuts after minimising each want with the earlier ones held."""
        ends_at, work = monotonic() + MOST_TIMES_SECONDS * seconds, WORK_PER_SECOND * seconds
        placed, proven = [], []
        for want in self._wants():
            solver = self._minimise(want, work / 2, ends_at - monotonic())
            if solver is None:
                break
            work -= solver.response_proto.deterministic_time
            placed = [key for key, variable in self.held.items() if solver.value(variable)]
            if len(proven) == 1:
                self.proven_new_drums = ceil(solver.best_objective_bound - 1e-6)
            proven.append(solver.objective_value <= solver.best_objective_bound)
            self.model.add(want <= round(solver.objective_value))
            self._hint({(d, r) for r, d in placed})
        self.is_proven = solver is not None and all(proven)
        return self._cuts(placed)

    def _minimise(self, want: "cp_model.LinearExpr", work: float, seconds: float) -> "cp_model.CpSolver | None":
        """The same for the same model and work: searches take turns, since side by side they would race."""
        solver = self.cp.CpSolver()
        solver.parameters.max_deterministic_time = max(work, 0.001)
        solver.parameters.max_time_in_seconds = max(seconds, 0.01)
        solver.parameters.num_workers, solver.parameters.interleave_search = 8, True
        solver.parameters.random_seed = 1
        self.model.minimize(want)
        return solver if solver.solve(self.model) in (self.cp.OPTIMAL, self.cp.FEASIBLE) else None

    def _hint(self, placed: set[tuple[int, int]]) -> None:
        self.model.clear_hints()
        for (r, d), variable in self.held.items():
            self.model.add_hint(variable, (d, r) in placed)
        touched = {d for d, _ in placed}
        for d, variable in enumerate(self.touched):
            self.model.add_hint(variable, d in touched)

    def _cuts(self, placed: list[tuple[int, int]]) -> tuple[Cut, ...]:
        filled: dict[int, list[Run]] = {}
        for r, d in placed:
            filled.setdefault(d, []).append(self.runs[r])
        return in_pulling_order((self.lengths[d], runs) for d, runs in sorted(filled.items()))

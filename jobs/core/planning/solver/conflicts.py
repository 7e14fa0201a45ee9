"""The smallest set of pins, accepted visits and promises that cannot all hold, and what giving up each would bring.

A conflict is smallest when each of its wishes is needed for it: without any one of them the others can hold.
Of such, one with the fewest wishes is looked for by hitting sets: as long as the smallest set that meets every
known way out can itself hold, it shows another way out; the first that cannot hold has the fewest.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from time import monotonic

from ortools.sat.python import cp_model

from jobs.core.planning import fast
from jobs.core.planning.build import build
from jobs.core.planning.plan import Conflict, Wish
from jobs.core.planning.problem import LinkKind, Problem
from jobs.core.planning.solver.wishes import Wished, WishModel, facts_only, solver
from jobs.core.planning.words import listed, when, when_starts

SOLVED = (cp_model.OPTIMAL, cp_model.FEASIBLE)

ROUND_SECONDS = 1.0
"""The most spent on one question to the model."""

NARROW_SECONDS = 4.0
"""The least time left for finding which wishes of a conflict are needed: one named too many misleads."""

RELIEF_SECONDS = 1.0
"""Extra time to find out what giving up each wish would bring."""

ROOM = 60
"""Sessions the model looks beyond the last wish and the end of a plan without wishes."""

MOST_ROUNDS = 200


def find(problem: Problem, *, seconds: float) -> list[Conflict]:
    """Conflicts that share no wish; empty when all wishes can hold together, or nothing was settled in time."""
    if not (problem.pins or problem.promises or any(visit.accepted is not None for visit in problem.visits)):
        return []
    ends_at = monotonic() + seconds
    found = _found(_up_to_fixed_dates(problem), ends_at)
    return found or (_found(problem, ends_at) if problem.promises else [])


def _found(problem: Problem, ends_at: float) -> list[Conflict]:
    model = _wish_model(problem) if any((problem.packages, problem.visits)) else None
    return list(_Search(model, ends_at).conflicts()) if model is not None and model.wished else []


def _up_to_fixed_dates(problem: Problem) -> Problem:
    """Only pinned work, agreed visits and what must come before them: all else can wait until they are over."""
    keys = {visit.key for visit in problem.visits if visit.accepted is not None} | {pin.activity for pin in problem.pins}
    has_grown = True
    while has_grown:
        before = {link.before for link in problem.links if link.after in keys}
        inner = {link.after for link in problem.links if link.kind == LinkKind.INSIDE and link.before in keys}
        has_grown = not (before | inner) <= keys
        keys |= before | inner
    return replace(
        problem,
        packages=tuple(package for package in problem.packages if package.key in keys),
        visits=tuple(visit for visit in problem.visits if visit.key in keys),
        links=tuple(link for link in problem.links if {link.before, link.after} <= keys),
        promises=(),
    )


def _wish_model(problem: Problem) -> WishModel | None:
    """None when not even the facts fit the calendar."""
    built = build(facts_only(problem))
    found = fast.fast_schedule(built.network)
    if found is None:
        return None
    wanted = [visit.accepted for visit in problem.visits if visit.accepted is not None]
    wanted += [pin.session for pin in problem.pins] + [promise.session for promise in problem.promises]
    last = max([placed.end for placed in found.schedule] + wanted)
    return WishModel(problem, built, last + ROOM, found.schedule)


class _Search:
    def __init__(self, model: WishModel, ends_at: float) -> None:
        self.model, self.ends_at = model, ends_at
        self.asked = frozenset(range(len(model.wished)))

    def conflicts(self) -> Iterator[Conflict]:
        """One conflict after the other, the wishes of those before left out."""
        found = self.conflict()
        while found is not None:
            self.ends_at += RELIEF_SECONDS
            yield self.describe(*found)
            self.asked -= {self.model.wished.index(one) for one in found[0]}
            found = self.conflict() if self.asked else None

    def conflict(self) -> tuple[list[Wished], bool] | None:
        """Wishes in conflict and whether all are needed for it; None when there is no conflict or none was proven in time."""
        blamed = self._blamed()
        if blamed is None:
            return None
        self.ends_at = max(self.ends_at, monotonic() + NARROW_SECONDS)
        narrowed, unsettled = self._narrowed(blamed, ROUND_SECONDS)
        if unsettled:
            narrowed, unsettled = self._narrowed(narrowed, self._left / len(narrowed))
        fewest = self._smallest() if len(narrowed) > 2 or unsettled else None
        numbers = narrowed if fewest is None else fewest
        return [self.model.wished[number] for number in sorted(numbers)], fewest is not None or not unsettled

    def _narrowed(self, numbers: frozenset[int], seconds: float) -> tuple[frozenset[int], set[int]]:
        """Leave out those without which it still is a conflict, promises first; and tell which of the rest may not be needed."""
        unsettled = set()
        for number in sorted(numbers, reverse=True):
            status, _ = self._solve(numbers - {number}, seconds)
            if status == cp_model.INFEASIBLE:
                numbers -= {number}
            elif status not in SOLVED:
                unsettled.add(number)
        return numbers, unsettled

    def _blamed(self) -> frozenset[int] | None:
        """A conflict as the solver finds it, with more wishes than needed; None when there is none or time runs out."""
        numbers = {self.model.wished[number].literal.index: number for number in self.asked}
        self.model.model.clear_objective()
        self.model.model.clear_assumptions()
        self.model.model.add_assumptions([self.model.wished[number].literal for number in self.asked])
        the_solver = solver(self._left)
        the_solver.parameters.num_workers = 1
        status = the_solver.solve(self.model.model)
        blamed = the_solver.sufficient_assumptions_for_infeasibility() if status == cp_model.INFEASIBLE else ()
        self.model.model.clear_assumptions()
        if status != cp_model.INFEASIBLE:
            return None
        return frozenset(numbers[index] for index in blamed) or self.asked

    def _smallest(self) -> frozenset[int] | None:
        """A smallest conflict, by hitting sets; None when that cannot be settled in time."""
        ways_out: list[frozenset[int]] = []
        while self._left > 0:
            wanted = _smallest_hitting(ways_out)
            status, kept = self._most_kept_with(wanted)
            if status == cp_model.INFEASIBLE:
                return wanted
            if status not in SOLVED:
                return None
            ways_out.append(self.asked - kept)
        return None

    @property
    def _left(self) -> float:
        return self.ends_at - monotonic()

    def _most_kept_with(self, wanted: frozenset[int]) -> tuple[int, frozenset[int]]:
        """Keep the wanted wishes, and as many others as can be."""
        literals = {number: self.model.wished[number].literal for number in self.asked}
        self.model.model.maximize(sum(literals.values()))
        status, the_solver = self._solve(wanted, ROUND_SECONDS)
        kept = {number for number, literal in literals.items() if the_solver.value(literal)} if status in SOLVED else set()
        return status, frozenset(kept)

    def _solve(self, wanted: frozenset[int], most_seconds: float) -> tuple[int, cp_model.CpSolver]:
        """Solve with the wanted wishes held, without touching the model itself."""
        if self._left <= 0:
            return cp_model.UNKNOWN, solver(0)
        held = self.model.model.clone()
        for number in wanted:
            held.add(held.get_bool_var_from_proto_index(self.model.wished[number].literal.index) == 1)
        the_solver = solver(min(most_seconds, self._left))
        return the_solver.solve(held), the_solver

    def describe(self, conflict: list[Wished], is_smallest: bool) -> Conflict:
        wishes = tuple(self._with_relief(one, conflict) for one in conflict)
        words = listed(wish.words for wish in wishes)
        how = "cannot be kept" if len(wishes) == 1 else "cannot all be kept"
        return Conflict(wishes, is_smallest, f"{words}: {how}.")

    def _with_relief(self, one: Wished, conflict: list[Wished]) -> Wish:
        """What is possible for one wish when the others of the conflict hold."""
        numbers = frozenset(self.model.wished.index(other) for other in conflict if other is not one)
        self.model.model.minimize(one.strays if one.strays is not None else 0)
        status, the_solver = self._solve(numbers, ROUND_SECONDS)
        if status not in SOLVED:
            return replace(one.wish, if_relaxed="giving this up alone does not help" if status == cp_model.INFEASIBLE else "")
        return replace(one.wish, if_relaxed=self._relief_words(one, the_solver.value(one.result)))

    def _relief_words(self, one: Wished, result: int) -> str:
        problem = self.model.problem
        if one.kind == "promise":
            return f"without it the job can finish {when(problem, result - 1)}"
        if one.kind == "start":
            return f"without it the nearest possible start is {when_starts(problem, result)}"
        return "without it the rest can be kept"


def _smallest_hitting(sets: list[frozenset[int]]) -> frozenset[int]:
    """A smallest set that shares a member with each of the given sets."""
    members = sorted(frozenset().union(*sets))
    for size in range(len(members) + 1):
        for chosen in combinations(members, size):
            if all(some & set(chosen) for some in sets):
                return frozenset(chosen)
    return frozenset(members)

"""The best plan of small instances against an independent time-indexed mixed-integer model solved by HiGHS (scipy).

The model has one binary for each task, crew and starting session (Pritsker, Watters and Wolfe 1969) and shares no code
with the planner.
"""

from itertools import product

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import LinearConstraint, milp

from jobs.core.planning import improve_plan, weights
from jobs.core.planning.plan import Status
from jobs.core.planning.problem import Mix
from tests.core.planning.cast import ANN, BOB, after, package, problem

SESSIONS = 24
HOUSES = st.lists(st.lists(st.sampled_from((8, 16, 24)), min_size=2, max_size=2), min_size=1, max_size=3)
CREWS = (1, 2)


def length(hours: int, crew: int) -> int:
    """Sessions a package of whole sessions takes; all lengths here are whole."""
    return hours // (4 * crew)


class TimeIndexed:
    """Houses of packages one after the other, two electricians; flow as the planner weighs it."""

    def __init__(self, houses: list[list[int]]) -> None:
        self.tasks = [(h, n, hours) for h, house in enumerate(houses) for n, hours in enumerate(house)]
        self.starts = list(product(range(len(self.tasks)), CREWS, range(SESSIONS)))
        self.houses, self.size = len(houses), len(self.starts) + 2 * len(houses)
        self.rows: list[np.ndarray] = []
        self.least: list[float] = []
        self.most: list[float] = []

    def row(self, least: float, most: float, **terms: dict[int, float]) -> None:
        row = np.zeros(self.size)
        for some in terms.values():
            for column, value in some.items():
                row[column] += value
        self.rows.append(row)
        self.least.append(least)
        self.most.append(most)

    def of(self, task: int, value) -> dict[int, float]:
        """A sum over the ways to do a task."""
        return {c: value(crew, s) for c, (t, crew, s) in enumerate(self.starts) if t == task}

    def start(self, task: int) -> dict[int, float]:
        return self.of(task, lambda crew, s: s)

    def end(self, task: int) -> dict[int, float]:
        return self.of(task, lambda crew, s: s + length(self.tasks[task][2], crew))

    def least_flow(self) -> float:
        cost = np.zeros(self.size)
        for task, (house, number, _) in enumerate(self.tasks):
            finish, begin = len(self.starts) + house, len(self.starts) + self.houses + house
            self.row(1, 1, once=self.of(task, lambda crew, s: 1))
            self.row(0, np.inf, late={finish: 1}, end={c: -v for c, v in self.end(task).items()})
            self.row(0, np.inf, early={begin: -1}, start=self.start(task))
            if number:
                self.row(0, np.inf, start=self.start(task), end={c: -v for c, v in self.end(task - 1).items()})
            for column, value in self.end(task).items():
                cost[column] += weights.END_OF_ACTIVITY * value
        for session in range(SESSIONS):
            self.row(
                0,
                2,
                people={
                    c: crew for c, (t, crew, s) in enumerate(self.starts) if s <= session < s + length(self.tasks[t][2], crew)
                },
            )
        cost[len(self.starts) : len(self.starts) + self.houses] = weights.FINISH_OF_JOB + weights.STRETCH_OF_JOB
        cost[len(self.starts) + self.houses :] = -weights.STRETCH_OF_JOB
        whole = np.ones(self.size)
        found = milp(cost, constraints=LinearConstraint(np.array(self.rows), self.least, self.most), integrality=whole)
        return found.fun


@settings(max_examples=8, deadline=None, derandomize=True)
@given(HOUSES)
def test_flow_is_the_least_there_is_when_a_small_plan_is_solved(houses: list[list[int]]) -> None:
    packages = [
        package(f"{h}/{n}", hours, job=f"house {h}", mixes=(Mix(1), Mix(2)))
        for h, house in enumerate(houses)
        for n, hours in enumerate(house)
    ]
    links = tuple(after(f"{h}/{n - 1}", f"{h}/{n}") for h, house in enumerate(houses) for n in range(1, len(house)))
    plan = improve_plan(problem(*packages, links=links, people=(ANN, BOB)), seconds=30)
    assert plan.status == Status.OPTIMAL
    assert plan.objective.flow == round(TimeIndexed(houses).least_flow())

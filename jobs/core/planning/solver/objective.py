"""The terms of the aim as expressions of the model, in their order."""

from collections.abc import Mapping

from jobs.core.planning.network import Group
from jobs.core.planning.solver.variables import Decisions

IN_ORDER = (10**9, 10**7, 10**5, 1)
"""Weights that put one term before the next, for parts of a schedule small enough to be solved in one go."""

TERMS = ("late_sessions", "told_moved", "week_moved", "flow")


def terms(decisions: Decisions) -> dict[str, object]:
    """Each term of `network.score` by its name, as an expression to be minimised."""
    aim, finishes = decisions.network.aim, {}
    for number, group in enumerate(decisions.network.aim.groups):
        finishes[number] = _finish(decisions, number, group)
    return {
        "late_sessions": sum(_late(decisions, n, g, finishes[n]) for n, g in enumerate(aim.groups) if g.due is not None),
        "told_moved": _moved(decisions, aim.told, "told"),
        "week_moved": _moved(decisions, aim.week, "week"),
        "flow": _flow(decisions, finishes),
    }


def weighed(decisions: Decisions):
    """All terms in one expression."""
    return sum(weight * term for weight, term in zip(IN_ORDER, terms(decisions).values(), strict=False))


def _finish(decisions: Decisions, number: int, group: Group):
    finish = decisions.model.new_int_var(0, decisions.horizon, f"finish {number}")
    followed = {e.before for task in group.tasks for e in decisions.network.edges_into[task] if not e.from_start}
    for task in group.tasks:
        if task not in followed:
            decisions.model.add(finish >= decisions.tasks[task].end)
    return finish


def _late(decisions: Decisions, number: int, group: Group, finish):
    late = decisions.model.new_int_var(0, max(0, decisions.horizon - group.due), f"late {number}")
    decisions.model.add(late >= finish - group.due)
    return late


def _moved(decisions: Decisions, wanted: Mapping[int, int], name: str):
    literals = []
    for task, session in wanted.items():
        if not decisions.is_free(task):
            literals.append(int(decisions.tasks[task].first != session))
            continue
        moved = decisions.model.new_bool_var(f"{name} {task} moves")
        decisions.model.add(decisions.tasks[task].first == session).only_enforce_if(moved.negated())
        literals.append(moved)
    return sum(literals)


def _flow(decisions: Decisions, finishes: Mapping[int, object]):
    aim = decisions.network.aim
    total = aim.kept_weight * _moved(decisions, aim.kept, "kept")
    for weight, its in zip(aim.end_weights, decisions.tasks, strict=False):
        total += weight * its.end
    for number, group in enumerate(aim.groups):
        total += group.finish_weight * finishes[number]
        if group.span_weight:
            total += group.span_weight * (finishes[number] - _begin(decisions, number, group))
    return total


def _begin(decisions: Decisions, number: int, group: Group):
    begin = decisions.model.new_int_var(0, decisions.horizon, f"begin {number}")
    for task in group.tasks:
        decisions.model.add(begin <= decisions.tasks[task].first)
    return begin

"""What every schedule keeps, in the model's terms."""

from ortools.sat.python import cp_model

from jobs.core.planning.network import Edge
from jobs.core.planning.solver.variables import Decisions, TaskVariables


def add_constraints(decisions: Decisions) -> None:
    """Everything a schedule must keep, added to the model."""
    order_tasks(decisions)
    keep_inside(decisions)
    keep_apart(decisions)
    carry_on(decisions)
    share_resources(decisions)


def order_tasks(decisions: Decisions) -> None:
    """Each edge in sessions, and to the tick where either end may lie within a session."""
    for edge in decisions.network.edges:
        if not decisions.is_free(edge.before, edge.after):
            continue
        before, after = decisions.tasks[edge.before], decisions.tasks[edge.after]
        if edge.table is not None:
            _follow_table(decisions, edge, before, after)
        elif edge.from_start:
            decisions.model.add(after.first >= before.first)
            decisions.model.add(after.start_tick >= before.start_tick)
        else:
            decisions.model.add(after.held >= before.end)
            if after.carries:
                decisions.model.add(after.start_tick >= before.end_tick)


def _follow_table(decisions: Decisions, edge: Edge, before: TaskVariables, after: TaskVariables) -> None:
    at = before.first if edge.from_start else before.end
    table = edge.table[: decisions.horizon + 1]
    shifts = {allowed - session for session, allowed in enumerate(table) if allowed < decisions.network.horizon}
    if len(shifts) == 1:
        decisions.model.add(after.first >= at + shifts.pop())
        return
    allowed = decisions.model.new_int_var(0, decisions.network.horizon, f"{edge.after} after {edge.before}")
    decisions.model.add_element(at, table, allowed)
    decisions.model.add(after.first >= allowed)


def keep_inside(decisions: Decisions) -> None:
    """An inside task ends by its host's end; one that need only start inside starts by its host's last session."""
    for inside in decisions.network.insides:
        host, child = decisions.tasks[inside.host], decisions.tasks[inside.child]
        if not decisions.is_free(inside.host, inside.child):
            continue
        if inside.starts_only:
            takes_time = any(mode.ticks for mode in decisions.network.tasks[inside.host].modes)
            decisions.model.add(child.first <= (host.end - 1 if takes_time else host.first))
        else:
            decisions.model.add(child.end <= host.end)


def keep_apart(decisions: Decisions) -> None:
    """Tasks that clash share no session."""
    clashes = [pair for pair in decisions.network.clashes if decisions.is_free(*pair)]
    stretches = {task: _stretch(decisions, task) for pair in clashes for task in pair}
    for one, other in clashes:
        decisions.model.add_no_overlap([stretches[one], stretches[other]])


def _stretch(decisions: Decisions, task: int) -> cp_model.IntervalVar:
    """All sessions a task touches."""
    its = decisions.tasks[task]
    if task in decisions.frozen:
        return decisions.model.new_fixed_size_interval_var(its.first, its.end - its.first, f"stretch {task}")
    size = decisions.model.new_int_var(0, decisions.horizon, f"length {task}")
    return decisions.model.new_interval_var(its.first, size, its.end, f"stretch {task}")


def carry_on(decisions: Decisions) -> None:
    """Carrying on: from where the other ends, in the same session, with some of its crew, and only one after each."""
    model, given = decisions.model, {}
    for index, its in enumerate(decisions.tasks):
        for host, literal in its.carries.items():
            before = decisions.tasks[host]
            given.setdefault(host, []).append(literal)
            model.add(its.first == before.end - 1).only_enforce_if(literal)
            model.add(its.start_tick == before.end_tick).only_enforce_if(literal)
            _match_crews(decisions, host, index, literal)
    for literals in given.values():
        model.add_at_most_one(literals)


def _match_crews(decisions: Decisions, host: int, index: int, literal) -> None:
    pairs = decisions.network.carry_pairs[host, index]
    before, after = decisions.tasks[host], decisions.tasks[index]
    for mode in {variant.mode for variant in before.variants}:
        matching = [v.chosen for v in after.variants if (mode, v.mode) in pairs]
        for chosen in before.mode_literals(mode):
            decisions.model.add_bool_or([literal.negated(), chosen.negated(), *matching])


def share_resources(decisions: Decisions) -> None:
    """One cumulative constraint for each resource that can run short."""
    intervals = [_intervals(decisions, index) for index in range(len(decisions.tasks))]
    for resource, row in enumerate(_left(decisions)):
        taking = [
            (interval, decisions.network.tasks[index].modes[mode].demands[resource])
            for index, of_task in enumerate(intervals)
            for mode, interval in of_task
        ]
        taking = [(interval, demand) for interval, demand in taking if demand]
        most = max(row, default=0)
        gaps = list(_gaps(decisions.model, row, most))
        decisions.model.add_cumulative([i for i, _ in taking + gaps], [d for _, d in taking + gaps], most)


def _left(decisions: Decisions) -> list[list[int]]:
    """Capacity without what frozen tasks hold."""
    network = decisions.network
    rows = [list(row[: decisions.horizon]) for row in network.capacity]
    for task, placed in decisions.frozen.items():
        if network.tasks[task].ends is None:
            for row, demand in zip(rows, network.tasks[task].modes[placed.mode].demands, strict=False):
                for session in range(placed.held_from, min(placed.end, len(row))) if demand else ():
                    row[session] = max(0, row[session] - demand)
    return rows


def _intervals(decisions: Decisions, index: int) -> list[tuple[int, cp_model.IntervalVar]]:
    its, model, found = decisions.tasks[index], decisions.model, []
    for variant in its.variants:
        if variant.shape.sessions == 0:
            continue
        if its.carries:
            size = model.new_int_var(0, variant.shape.sessions, f"size {index}")
            interval = model.new_optional_interval_var(its.held, size, its.end, variant.chosen, f"held {index}")
        elif len(its.variants) == 1:
            interval = model.new_fixed_size_interval_var(its.first, variant.shape.sessions, f"held {index}")
        else:
            interval = model.new_optional_fixed_size_interval_var(
                its.first, variant.shape.sessions, variant.chosen, f"held {index}"
            )
        found.append((variant.mode, interval))
    return found


def _gaps(model: cp_model.CpModel, row: list[int], most: int):
    """What is missing from the full capacity, as fixed intervals."""
    begin = 0
    for session in range(1, len(row) + 1):
        if session == len(row) or row[session] != row[begin]:
            if row[begin] < most:
                yield model.new_fixed_size_interval_var(begin, session - begin, "away"), most - row[begin]
            begin = session

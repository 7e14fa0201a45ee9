"""Decisions of the model: when each task starts, with which crew, and what it carries on from."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from ortools.sat.python import cp_model

from jobs.core.planning.network import Network, Placed, Schedule, Task
from jobs.core.planning.shapes import Shape, Shapes


@dataclass(frozen=True)
class Variant:
    """A mode in one of the shapes it can take on the calendar; `chosen` is a literal."""

    mode: int
    shape: Shape
    chosen: object


@dataclass(frozen=True)
class TaskVariables:
    """`held` is the first session it takes resources in. `carries[host]` are literals; `over`: it needs one
    session more because it starts within one. Ticks are linear expressions."""

    first: object
    end: object
    held: object
    start_tick: object
    end_tick: object
    variants: tuple[Variant, ...] = ()
    carries: dict[int, object] = field(default_factory=dict)
    offset: object = 0
    over: object = 0

    def mode_literals(self, mode: int) -> list:
        """Literals of a mode, one for each shape it can take."""
        return [variant.chosen for variant in self.variants if variant.mode == mode]


class Decisions:
    """A model with the variables of every task, over `horizon` sessions.

    `frozen` tasks stay where they are: what stands for them is plain numbers, and what they take is
    left to whoever sums up resources. With a schedule `near`, work carries on only from what nearly meets it there:
    the model is much smaller, and the schedule still in it.
    """

    def __init__(
        self,
        network: Network,
        shapes: Shapes,
        horizon: int,
        frozen: Mapping[int, Placed] | None = None,
        near: Schedule | None = None,
    ) -> None:
        self.network, self.shapes, self.horizon, self.frozen, self.near = network, shapes, horizon, frozen or {}, near
        self.model = cp_model.CpModel()
        self.lengths = [after - before for before, after in pairwise(network.bounds)]
        self._has_starts = True
        self.tasks = [self._task(index, task) for index, task in enumerate(network.tasks)]

    @property
    def can_start_everything(self) -> bool:
        """Whether every task has a session left to start in, taken by itself."""
        return self._has_starts

    def is_free(self, *tasks: int) -> bool:
        """Whether any of the tasks may still move."""
        return any(task not in self.frozen for task in tasks)

    def _task(self, index: int, task: Task) -> TaskVariables:
        if index in self.frozen:
            placed = self.frozen[index]
            return TaskVariables(placed.first, placed.end, placed.held_from, placed.start_tick, placed.end_tick)
        return self._whole(index, task) if task.ends is not None else self._worked(index, task)

    def _whole(self, index: int, task: Task) -> TaskVariables:
        """A task that keeps whole sessions: its start decides its end."""
        starts = [s for s in sessions_of(self.shapes.allowed(index, 0)) if s < self.horizon and task.ends[s] <= self.horizon]
        first = self._first(index, starts)
        end = self.model.new_int_var(0, self.horizon, f"end {index}")
        lengths = {task.ends[s] - s for s in starts or [0]}
        if len(lengths) == 1:
            self.model.add(end == first + lengths.pop())
        else:
            self.model.add_allowed_assignments([first, end], [(s, task.ends[s]) for s in starts or [0]])
        return TaskVariables(first, end, first, self._tick(first, index), self._tick(end, index))

    def _first(self, index: int, starts: list[int]):
        self._has_starts = self._has_starts and bool(starts)
        return self.model.new_int_var_from_domain(cp_model.Domain.from_values(starts or [0]), f"first {index}")

    def _tick(self, session, index: int):
        """The tick a session begins at."""
        if len(set(self.lengths)) == 1:
            return self.lengths[0] * session
        tick = self.model.new_int_var(0, self.network.bounds[-1], f"tick {index}")
        self.model.add_element(session, self.network.bounds, tick)
        return tick

    def _worked(self, index: int, task: Task) -> TaskVariables:
        shapes = [(number, shape) for number, mode in enumerate(task.modes) for shape in self.shapes.of(mode.ticks)]
        last = task.fixed if task.fixed is not None else self.horizon
        self._has_starts = self._has_starts and task.earliest <= last
        first = self.model.new_int_var(min(task.earliest, last), last, f"first {index}")
        if task.fixed is not None:
            self.model.add(first == task.fixed)
        end = self.model.new_int_var(0, self.horizon, f"end {index}")
        variants = tuple(Variant(number, shape, self.model.new_bool_var(f"{index} by {number}")) for number, shape in shapes)
        self.model.add_exactly_one(variant.chosen for variant in variants)
        carries = {host: self.model.new_bool_var(f"{index} carries on from {host}") for host in self._carriers(index)}
        carry = sum(carries.values())
        offset = self.model.new_int_var(0, max(self.lengths) - 1, f"offset {index}") if carries else 0
        over = self.model.new_bool_var(f"over {index}") if carries else 0
        start_tick = self._tick(first, index) + offset
        ticks = sum(task.modes[variant.mode].ticks * variant.chosen for variant in variants)
        held = self._held(index, first, carry) if carries else first
        found = TaskVariables(first, end, held, start_tick, start_tick + ticks, variants, carries, offset, over)
        self.model.add(end == first + sum(variant.shape.sessions * variant.chosen for variant in variants) + over)
        self._shape(index, task, found)
        return found

    def _held(self, index: int, first, carry):
        held = self.model.new_int_var(0, self.horizon, f"held {index}")
        self.model.add(held == first + carry)
        return held

    def _carriers(self, index: int) -> tuple[int, ...]:
        clashes = self.network.clashes_of.get(index, ())
        hosts = (h for h in self.network.carriers_of.get(index, ()) if h not in clashes and h not in self.frozen)
        return tuple(host for host in hosts if self._nearly_meet(host, index))

    def _nearly_meet(self, host: int, index: int) -> bool:
        return self.near is None or abs(self.near[host].end - self.near[index].first) <= 1

    def _shape(self, index: int, task: Task, its: TaskVariables) -> None:
        """Starts allowed with each variant, and when starting within a session costs one more."""
        model, carry = self.model, sum(its.carries.values())
        if its.carries:
            model.add_at_most_one(its.carries.values())
            model.add(its.offset == 0).only_enforce_if([literal.negated() for literal in its.carries.values()])
            model.add(its.offset >= carry)
            model.add(its.over <= carry)
            model.add(its.offset <= sum(v.shape.spare * v.chosen for v in its.variants) + min(self.lengths) * its.over)
            model.add(its.offset >= sum((v.shape.spare + 1) * v.chosen for v in its.variants)).only_enforce_if(its.over)
        for variant in its.variants:
            self._restrict(index, task, its, variant)
        for session in task.running_in:
            model.add(its.first <= session)
            model.add(its.end > session)

    def _restrict(self, index: int, task: Task, its: TaskVariables, variant: Variant) -> None:
        is_any_start = len(set(self.lengths)) == 1 and not task.must_close_same_day
        if is_any_start:
            return
        extra = [(0, its.over.negated()), (1, its.over)] if its.carries else [(0, None)]
        for more, literal in extra:
            starts = variant.shape.starts & self.shapes.allowed(index, variant.shape.sessions + more)
            domain = cp_model.Domain.from_values([s for s in sessions_of(starts) if s < self.horizon])
            when = [variant.chosen] + ([literal] if literal is not None else [])
            self.model.add_linear_expression_in_domain(its.first, domain).only_enforce_if(when)

    def placed(self, value, index: int) -> Placed:
        """Where a task is, `value` giving the value of a variable or expression."""
        its = self.tasks[index]
        if index in self.frozen:
            return self.frozen[index]
        mode = next((v.mode for v in its.variants if value(v.chosen)), 0)
        host = next((host for host, literal in its.carries.items() if value(literal)), None)
        first, end = value(its.first), value(its.end)
        return Placed(first, end, value(its.start_tick), value(its.end_tick), mode, host)

    def hint(self, schedule) -> None:
        """Tell the solver where to begin."""
        self.model.clear_hints()
        for index, placed in enumerate(schedule):
            if index not in self.frozen:
                self._hint(index, placed)

    def _hint(self, index: int, placed: Placed) -> None:
        its = self.tasks[index]
        self.model.add_hint(its.first, placed.first)
        self.model.add_hint(its.end, placed.end)
        variant = self._variant_of(index, placed)
        for each in its.variants:
            self.model.add_hint(each.chosen, each is variant)
        for host, literal in its.carries.items():
            self.model.add_hint(literal, host == placed.host)
        if its.carries:
            self.model.add_hint(its.held, placed.held_from)
            self.model.add_hint(its.offset, placed.start_tick - self.network.bounds[placed.first])
            self.model.add_hint(its.over, placed.end - placed.first > variant.shape.sessions)

    def _variant_of(self, index: int, placed: Placed) -> Variant | None:
        of_mode = [v for v in self.tasks[index].variants if v.mode == placed.mode]
        return next((v for v in of_mode if v.shape.starts >> placed.first & 1), None)


def sessions_of(mask: int) -> list[int]:
    """The sessions set in a mask."""
    return [session for session in range(mask.bit_length()) if mask >> session & 1]

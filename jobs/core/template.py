"""What waits for what in a house: the firm's template laid over the packages and visits of one job."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from jobs.core.stages import RoomKind

UNPLASTERED = frozenset({RoomKind.LOFT, RoomKind.GARAGE, RoomKind.OUTSIDE, RoomKind.BOARD})
"""Kinds of room that no plasterer closes (common practice, no source)."""


@dataclass(frozen=True)
class Node:
    """A package or a visit: `code` is its stage or kind of visit, `area` None means the whole house."""

    key: str
    code: str
    area: int | None = None


@dataclass(frozen=True)
class Rule:
    """A line of the template, between two codes; `same_area` joins them area by area, else all with all."""

    before: str
    after: str
    kind: str = "finish_start"
    lag_sessions: int = 0
    lag_days: int = 0
    waits_for_plaster: bool = False
    same_area: bool = True
    reason: str = ""


@dataclass(frozen=True)
class Wait:
    """`after` waits for `before` (keys of nodes); `lag_days` are elapsed days."""

    before: str
    after: str
    kind: str = "finish_start"
    lag_sessions: int = 0
    lag_days: int = 0
    reason: str = ""

    @property
    def key(self) -> tuple[str, str, str]:
        """Equal for waits that differ only in their lags or reason."""
        return self.before, self.after, self.kind


def list_waits(nodes: Iterable[Node], rules: Iterable[Rule], *, drying_days: int) -> list[Wait]:
    """The waits of a house, in the order of the template. Where plaster dries, its days count when they are longer."""
    by_code: dict[str, list[Node]] = defaultdict(list)
    for node in nodes:
        by_code[node.code].append(node)
    return [
        _wait(rule, before, after, drying_days)
        for rule in rules
        for before in by_code[rule.before]
        for after in by_code[rule.after]
        if _meet(rule, before, after)
    ]


def _meet(rule: Rule, before: Node, after: Node) -> bool:
    return before.key != after.key and (not rule.same_area or before.area == after.area or None in {before.area, after.area})


def _wait(rule: Rule, before: Node, after: Node, drying_days: int) -> Wait:
    lag_days = max(rule.lag_days, drying_days) if rule.waits_for_plaster else rule.lag_days
    return Wait(before.key, after.key, rule.kind, rule.lag_sessions, lag_days, rule.reason)


def find_way(waits: Iterable[tuple[str, str]], start: str, end: str) -> list[str]:
    """The keys from `start` to `end` along (before, after) pairs, both included; empty when no way leads there."""
    after: dict[str, list[str]] = defaultdict(list)
    for before, later in waits:
        after[before].append(later)
    came_from: dict[str, str | None] = {start: None}
    queue = [start]
    for key in queue:
        for later in after[key]:
            if later not in came_from:
                came_from[later] = key
                queue.append(later)
    return _trace(came_from, end)


def _trace(came_from: dict[str, str | None], end: str) -> list[str]:
    way, key = [], end if end in came_from else None
    while key is not None:
        way.append(key)
        key = came_from[key]
    return way[::-1]


def is_plastered(kinds: Collection[RoomKind]) -> bool:
    """Whether an area with rooms of these kinds has walls or ceilings for a plasterer to close."""
    return any(kind not in UNPLASTERED for kind in kinds)

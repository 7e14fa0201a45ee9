"""What a plan's figures mean, in words."""

from collections.abc import Mapping, Sequence

WORTH_SAYING = 0.25
"""A larger distance says more about the bound, which takes people to be always there, than about the plan."""


def gap_words(gap: float | None) -> str:
    """How good a plan is known to be; `gap` is its distance from the best possible, as a share."""
    if gap is None or gap >= 1:
        return "not compared with the best possible"
    if gap > WORTH_SAYING:
        return "the best found so far"
    return "proven best" if gap < 0.00005 else f"at most {_percent(gap)} from the best possible"


def _percent(gap: float) -> str:
    percent = gap * 100
    return f"{percent:.1f} %" if percent < 10 else f"{percent:.0f} %"


def aim_words(terms: Sequence[int] | None) -> list[str]:
    """The first three aims of a plan: promised finishes, told dates, the coming week."""
    if not terms:
        return []
    late, told, week, *_ = terms
    return [
        f"Promised finishes are missed by {_count(late, 'half day')} in all" if late else "Every promised finish is met",
        f"{_count(told, 'told date')} moved" if told else "no told date moved",
        f"{_count(week, 'start')} of the coming week moved" if week else "the coming week stands",
    ]


def told_words(facts: Mapping[str, Sequence[int]]) -> str:
    """Whether fewer told dates could move; `facts` has the plan's `objective` and the `bound` below which none of it goes."""
    objective, bound = facts.get("objective"), facts.get("bound")
    if not objective or not bound or not objective[1]:
        return ""
    (late, moved, *_), (least_late, least, *_) = objective, bound
    if least == moved and least_late == late:
        return "It is proven that no plan that keeps promised finishes as well moves fewer told dates."
    if 0 < least < moved:
        return f"At least {_count(least, 'told date')} must move; whether fewer than {moved} would do is not proven."
    return "Whether fewer would do is not proven. Let the planner think longer to find out."


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"

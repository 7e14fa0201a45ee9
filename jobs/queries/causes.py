"""Why a plan puts things where they are: reasons kept with the plan, followed back and put in words."""

from dataclasses import dataclass
from datetime import date

from jobs.core.stages import Half
from jobs.models import Plan, Span
from jobs.queries.plan_rows import span_key

LONGEST_CHAIN = 12


@dataclass(frozen=True)
class Step:
    """One activity in a chain of reasons: what, when it starts, and why then."""

    key: str
    title: str
    when: str
    words: str


@dataclass(frozen=True)
class Causes:
    """The spans of one plan by key, with what people call them."""

    spans: dict[str, Span]
    plan: Plan | None = None

    def chain(self, key: str) -> list[Step]:
        """The activity and what it waits for, back to the beginning; empty when the plan does not know it."""
        steps: list[Step] = []
        seen: set[str] = set()
        while key in self.spans and key not in seen and len(steps) < LONGEST_CHAIN:
            seen.add(key)
            span = self.spans[key]
            steps.append(Step(key, title(span), when(span.starts_on, span.starts_half), span.cause.get("words", "")))
            key = span.cause.get("because_of") or ""
        return steps


def load_causes(plan: Plan | None) -> Causes:
    related = ("package__area", "package__job", "visit__kind", "visit__area", "visit__job")
    rows = Span.objects.filter(plan=plan).select_related(*related) if plan else ()
    return Causes({span_key(row): row for row in rows}, plan)


def title(span: Span) -> str:
    activity = span.package or span.visit
    return f"{activity}, {activity.job}"


def when(on: date, half: str) -> str:
    """A short day and half that any reader takes the same way: "Thu 14 Jan, morning"."""
    return f"{on:%a} {on.day} {on:%b}, {Half(half).label}"

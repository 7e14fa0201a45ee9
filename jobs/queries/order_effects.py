"""What a delivery moves: packages that wait for it, in the plan people were told and in the draft."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from jobs.models import Firm, Plan, PlanRun, Span, WorkPackage
from jobs.queries.plans import find_draft, find_issued, find_last_run, find_waiting_turn
from jobs.queries.stores_page import WaitingRow


@dataclass(frozen=True)
class MovedRow:
    """A package's first day as issued and as drafted."""

    package: WorkPackage
    issued_on: date | None
    draft_on: date | None

    @property
    def has_moved(self) -> bool:
        return self.draft_on != self.issued_on


@dataclass(frozen=True)
class OrderEffects:
    """`run`: the latest run of the planner, which may still be under way; `waits`: another one follows it."""

    rows: tuple[MovedRow, ...]
    draft: Plan | None
    run: PlanRun | None
    waits: bool = False

    @property
    def moved(self) -> list[MovedRow]:
        return [row for row in self.rows if row.has_moved]

    @property
    def is_planning(self) -> bool:
        is_under_way = self.run is not None and self.run.state in (PlanRun.State.WAITING, PlanRun.State.RUNNING)
        return is_under_way or self.waits


def load_effects(firm: Firm, waiting: Iterable[WaitingRow]) -> OrderEffects:
    """Nothing has moved while there is no draft beside the issued plan."""
    issued, draft = find_issued(firm), find_draft(firm)
    packages = list({row.package.pk: row.package for row in waiting}.values())
    if not draft or not issued:
        return OrderEffects((), draft, *_runs(firm))
    was, now = (_starts(plan, packages) for plan in (issued, draft))
    rows = tuple(MovedRow(package, was.get(package.pk), now.get(package.pk)) for package in packages)
    return OrderEffects(rows, draft, *_runs(firm))


def _runs(firm: Firm) -> tuple[PlanRun | None, bool]:
    return find_last_run(firm), find_waiting_turn(firm) is not None


def _starts(plan: Plan, packages: list[WorkPackage]) -> dict[int, date]:
    return dict(Span.objects.filter(plan=plan, package__in=packages).values_list("package", "starts_on"))

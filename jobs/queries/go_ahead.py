"""Whether a visit may cover work up: what is missing by room and person, and the go-ahead that was given."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from jobs.models import Booking, GoAhead, Job, Plan, Point, RoomTask, Visit
from jobs.queries.centres import list_unmeasured
from jobs.queries.hold_points import list_missing, load_awaiting

NOTHING_ASKED = "No hold point is in this job’s programme, so nobody can say what was checked."


@dataclass(frozen=True)
class Missing:
    """A hold point that nobody recorded, and who is booked on its package."""

    task: RoomTask
    people: tuple[str, ...]

    @property
    def words(self) -> str:
        who = f" ({', '.join(self.people)})" if self.people else ""
        return f"{self.task.room}: {self.task.text}{who}"


@dataclass(frozen=True)
class Gate:
    """What stands between a visit and its go-ahead. `given` is the go-ahead that stands for the visit's contact."""

    visit: Visit
    missing: tuple[Missing, ...]
    unmeasured: tuple[Point, ...]
    is_recorded: bool
    history: tuple[GoAhead, ...]

    @cached_property
    def given(self) -> GoAhead | None:
        theirs = [row for row in self.history if row.contact_id == self.visit.contact_id]
        return theirs[-1] if theirs else None

    @property
    def words(self) -> list[str]:
        """What is missing, a sentence each."""
        if self.is_recorded:
            return []
        return [row.words for row in self.missing] or [NOTHING_ASKED]


def load_gate(visit: Visit) -> Gate:
    tasks = list(list_missing(visit))
    people = _people_on(task.package_id for task in tasks)
    return Gate(
        visit=visit,
        missing=tuple(Missing(task, tuple(people[task.package_id])) for task in tasks),
        unmeasured=tuple(list_unmeasured(visit.job_id, visit.area_id)) if visit.kind.covers_up else (),
        is_recorded=not load_awaiting([visit], heed_given=False),
        history=tuple(visit.go_aheads.select_related("given_by__person", "contact")),
    )


def list_overrides(job: Job) -> list[GoAhead]:
    """Go-aheads that were given although something was not recorded: they stay with the job."""
    rows = GoAhead.objects.filter(visit__job=job).exclude(override_reason="")
    return list(rows.select_related("visit__kind", "visit__area", "contact", "given_by__person"))


def _people_on(packages: Iterable[int]) -> dict[int, list[str]]:
    names: dict[int, list[str]] = defaultdict(list)
    rows = Booking.objects.filter(plan__state=Plan.State.ISSUED, package_id__in=set(packages)).order_by("person__name")
    for package, name in rows.values_list("package_id", "person__name").distinct():
        names[package].append(name)
    return names

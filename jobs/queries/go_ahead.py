"""Whether a visit may cover work up: what is missing by room and person, and the go-ahead that was given."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from django.db.models import Q

from jobs.core.stages import Stage
from jobs.models import Booking, GoAhead, Job, Plan, Room, Visit
from jobs.queries.hold_points import (
    list_missing,
    list_missing_centres,
    list_missing_readings,
    list_unseen_rooms,
    load_awaiting,
)

NOTHING_ASKED = "No hold point is in this job’s programme, so nobody can say what was checked."


@dataclass(frozen=True)
class Missing:
    """What nobody recorded in a room, and who is booked on it."""

    room: Room
    text: str
    people: tuple[str, ...]

    @property
    def words(self) -> str:
        who = f" ({', '.join(self.people)})" if self.people else ""
        return f"{self.room}: {self.text}{who}"


@dataclass(frozen=True)
class Gate:
    """What stands between a visit and its go-ahead. `given` is the go-ahead that stands for the visit's contact."""

    visit: Visit
    missing: tuple[Missing, ...]
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
    is_recorded = not load_awaiting([visit], heed_given=False)
    return Gate(
        visit=visit,
        missing=() if is_recorded else tuple(_missing(visit)),
        is_recorded=is_recorded,
        history=tuple(visit.go_aheads.select_related("given_by__person", "contact")),
    )


def _missing(visit: Visit) -> Iterable[Missing]:
    """Room by room: lines nobody recorded, photos nobody sent, centres nobody measured, then circuits not tested or out."""
    tasks, points, untested = list(list_missing(visit)), list(list_missing_centres(visit)), list_missing_readings(visit)
    unseen = list(list_unseen_rooms(visit))
    on_lines = _people_on(Q(package_id__in={task.package_id for task in tasks}), "package_id")
    areas = {row.room.area_id for row in (*points, *untested)} | {room.area_id for room in unseen}
    in_areas = _people_on(Q(package__area_id__in=areas, package__stage=Stage.FIRST_FIX), "package__area_id")
    found = [Missing(task.room, task.text, tuple(on_lines[task.package_id])) for task in tasks]
    found += [Missing(room, "photos ticked, none stored", tuple(in_areas[room.area_id])) for room in unseen]
    found += [
        Missing(point.room, f"centre not measured, {point.label or point.kind.name}", tuple(in_areas[point.room.area_id]))
        for point in points
    ]
    found += [Missing(row.room, row.text, tuple(in_areas[row.room.area_id])) for row in untested]
    return sorted(found, key=lambda row: (row.room.area.position, row.room.position, row.room.pk))


def list_overrides(job: Job) -> list[GoAhead]:
    """Go-aheads that were given although something was not recorded: they stay with the job."""
    rows = GoAhead.objects.filter(visit__job=job).exclude(override_reason="")
    return list(rows.select_related("visit__kind", "visit__area", "contact", "given_by__person"))


def _people_on(booked: Q, by: str) -> dict[int, list[str]]:
    """Names in the issued plan, by the booking's column `by`."""
    names: dict[int, list[str]] = defaultdict(list)
    rows = Booking.objects.filter(booked, plan__state=Plan.State.ISSUED).order_by("person__name")
    for key, name in rows.values_list(by, "person__name").distinct():
        names[key].append(name)
    return names

"""Points found or asked for on site: the office accepts them into the survey, or declines them."""

import uuid
from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from jobs.actions.permission import Refused, require_member, require_office
from jobs.actions.survey import add_points
from jobs.models import Circuit, PointKind, Room, User, Variation


@transaction.atomic
def report_point(*, room: Room, details: Mapping[str, object], uid: uuid.UUID, by: User, at: datetime) -> Variation:
    """`details` as in `jobs.core.operations`, kind "found"; nothing enters the survey yet."""
    require_member(by, room)
    return Variation.objects.create(
        firm_id=room.firm_id, uid=uid, room=room, kind=_kind(room, details["point_kind"]),
        circuit=_circuit(room, details["circuit"]), quantity=details["quantity"], label=details["label"],
        height_mm=details["height_mm"], words=details["words"], made_by=by, made_at=at,
    )


@transaction.atomic
def accept_variation(*, variation: Variation, by: User, now: datetime) -> Variation:
    """Its points enter the survey, and the programme follows."""
    held = _hold(variation, by)
    add_points(
        room=held.room, kind=held.kind, quantity=held.quantity, circuit=held.circuit, label=held.label,
        height_mm=held.height_mm, by=by,
    )
    return _answer(held, Variation.State.ACCEPTED, by, now)


@transaction.atomic
def decline_variation(*, variation: Variation, by: User, now: datetime) -> Variation:
    return _answer(_hold(variation, by), Variation.State.DECLINED, by, now)


def _hold(variation: Variation, by: User) -> Variation:
    require_office(by, variation)
    rows = Variation.objects.select_for_update(of=("self",)).select_related("room__job", "kind", "circuit")
    held = rows.get(pk=variation.pk)
    if held.state != Variation.State.WAITING:
        raise Refused(f"This was answered before: {held.get_state_display().lower()}.")
    return held


def _answer(variation: Variation, state: str, by: User, now: datetime) -> Variation:
    variation.state, variation.answered_by, variation.answered_at = state, by, now
    variation.save(update_fields=["state", "answered_by", "answered_at"])
    return variation


def _kind(room: Room, code: object) -> PointKind:
    kind = PointKind.objects.filter(firm_id=room.firm_id, code=code).first()
    if kind is None:
        raise Refused("The catalogue has no such kind of point any more. Tell the office what was found.")
    return kind


def _circuit(room: Room, reference: object) -> Circuit | None:
    """A circuit that left the survey meanwhile is left open for the office to choose."""
    return Circuit.objects.filter(job_id=room.job_id, reference=reference).first() if reference else None

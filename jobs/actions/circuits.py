"""What the office says of a house's supply and its circuits, and a what-if that is taken over."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from jobs.actions.circuit_lengths import correct_length
from jobs.actions.permission import Refused
from jobs.actions.survey import edit_circuit, open_job
from jobs.core.electrics.assumed import WhatIf
from jobs.core.electrics.circuit import Circuit as Judged
from jobs.models import Circuit, CircuitDesign, CircuitPart, HouseSupply, Item, Job, User
from jobs.queries.circuits import find_row, load_schedule, try_on_row

MOST_PARTS = 8
LEAST_METRES = Decimal("0.1")


@transaction.atomic
def describe_supply(*, job: Job, details: Mapping[str, object], by: User) -> HouseSupply:
    """`details` are fields of HouseSupply; what is blank is assumed."""
    job = open_job(job, by)
    row, _ = HouseSupply.objects.update_or_create(job=job, defaults={**details, "firm_id": job.firm_id})
    return row


@transaction.atomic
def describe_circuit(
    *, circuit: Circuit, details: Mapping[str, object], parts: Sequence[Mapping[str, object]], by: User
) -> CircuitDesign:
    """`details` are fields of CircuitDesign, `parts` of CircuitPart in order along the route; at most one takes the rest."""
    open_job(circuit.job, by, circuit)
    if len(parts) > MOST_PARTS:
        raise Refused(f"A route has up to {MOST_PARTS} parts here. Take the alike ones together.")
    if sum(part.get("metres") is None for part in parts) > 1:
        raise Refused("Only one part can take the rest of the route. Give the others their metres.")
    design = _save_design(circuit, details)
    _save_parts(design, parts)
    return design


@transaction.atomic
def use_what_if(*, circuit: Circuit, given: WhatIf, cable: Item | None, by: User, now: datetime) -> Circuit:
    """Take over what was tried: cable and rating into the survey, the length as corrected, the rest into the design.

    `cable` is the item of the size tried.
    """
    job = open_job(circuit.job, by, circuit, cable)
    if given.is_empty:
        raise Refused("Nothing was changed yet. Choose something to try first.")
    if (given.live_mm2 is None) != (cable is None):
        raise Refused("The stores hold no flat cable of that size. Add it to the stores first.", field="cable")
    row = find_row(load_schedule(job), circuit)
    tried = try_on_row(row, given)
    _use_survey(circuit, given, cable, by)
    if given.metres is not None:
        correct_length(circuit=circuit, cable_metres=given.metres, reason="Tried on the circuit schedule", by=by, now=now)
    if given.curve is not None:
        _save_design(circuit, {"curve": given.curve})
    if given.changes_route or (given.metres is not None and row.told.parts):
        _save_parts(_save_design(circuit, {}), _parts_of(tried.judged))
    return circuit


def _use_survey(circuit: Circuit, given: WhatIf, cable: Item | None, by: User) -> None:
    found = {"cable": cable, "device_rating_amps": given.rating_amps}
    if details := {name: one for name, one in found.items() if one is not None}:
        edit_circuit(circuit=circuit, details=details, by=by)


def _parts_of(circuit: Judged) -> list[dict[str, object]]:
    """As they are stored; the longest takes the rest of the route, so that it follows the length."""
    longest = max(circuit.parts, key=lambda part: part.metres, default=None)
    return [
        {
            "metres": None if part is longest else max(round(part.metres, 1), LEAST_METRES), "method": part.method,
            "grouped": part.grouped, "is_side_by_side": part.is_side_by_side, "surrounded_mm": part.surrounded_mm,
            "ambient_c": part.ambient_c,
        }
        for part in circuit.parts
    ]


def _save_design(circuit: Circuit, details: Mapping[str, object]) -> CircuitDesign:
    design, _ = CircuitDesign.objects.update_or_create(
        job=circuit.job, circuit_reference=circuit.reference, defaults={**details, "firm_id": circuit.firm_id}
    )
    return design


def _save_parts(design: CircuitDesign, parts: Sequence[Mapping[str, object]]) -> None:
    design.parts.all().delete()
    CircuitPart.objects.bulk_create(
        CircuitPart(firm_id=design.firm_id, design=design, position=number, **part) for number, part in enumerate(parts)
    )

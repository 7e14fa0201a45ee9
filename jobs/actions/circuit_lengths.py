"""A circuit's length put right by a person: kept beside the one worked out, with who, when and why."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from jobs.actions.permission import Refused
from jobs.actions.survey import open_job, renew_programme
from jobs.models import Circuit, Item, LengthCorrection, User
from jobs.queries.takeoff import list_branch_cables

MOST_METRES = 2000


@transaction.atomic
def correct_length(
    *, circuit: Circuit, cable_metres: Decimal, reason: str, by: User, now: datetime, branch_cable: Item | None = None
) -> LengthCorrection:
    """Take `cable_metres`, waste included, in place of the length worked out, until it is taken back.

    With `branch_cable` it is all of that cable that branches off the circuit, such as its switch drops.
    """
    job = open_job(circuit.job, by, circuit, branch_cable)
    if not 0 < cable_metres <= MOST_METRES:
        raise Refused(f"Give a length between 0.1 and {MOST_METRES} metres.", field="cable_metres")
    if not reason.strip():
        raise Refused("Say why the length is another, such as the way it really goes.", field="reason")
    if branch_cable and branch_cable not in list_branch_cables(circuit):
        raise Refused(f"No {branch_cable.name} branches off {circuit.reference}.", field="branch_cable")
    row = _add(circuit, branch_cable, cable_metres, reason.strip(), by, now)
    renew_programme(job, by)
    return row


@transaction.atomic
def take_back_length(
    *, circuit: Circuit, by: User, now: datetime, branch_cable: Item | None = None
) -> LengthCorrection:
    """Let the length that is worked out count again; what was corrected stays on record."""
    job = open_job(circuit.job, by, circuit, branch_cable)
    latest = _latest(circuit, branch_cable)
    if latest is None or latest.cable_metres is None:
        raise Refused(f"The length of {branch_cable.name + ' of ' if branch_cable else ''}{circuit.reference} is not corrected.")
    row = _add(circuit, branch_cable, None, "Correction taken back", by, now)
    renew_programme(job, by)
    return row


def _latest(circuit: Circuit, branch_cable: Item | None) -> LengthCorrection | None:
    rows = LengthCorrection.objects.filter(job_id=circuit.job_id, circuit_reference=circuit.reference)
    return rows.filter(branch_cable=branch_cable).order_by("pk").last()


def _add(
    circuit: Circuit, branch_cable: Item | None, cable_metres: Decimal | None, reason: str, by: User, now: datetime
) -> LengthCorrection:
    return LengthCorrection.objects.create(
        firm_id=circuit.firm_id, job=circuit.job, circuit_reference=circuit.reference, branch_cable=branch_cable,
        cable_metres=cable_metres, reason=reason, made_by=by, made_at=now,
    )

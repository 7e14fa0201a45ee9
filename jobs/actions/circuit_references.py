"""A circuit that is called otherwise takes its corrected length and its design along."""

from datetime import datetime

from jobs.models import Circuit, CircuitDesign, LengthCorrection, User


def follow_reference(*, circuit: Circuit, had: str, by: User, now: datetime) -> None:
    """Give the corrected length and the design of reference `had` to the circuit's reference of now; `had` gives them up."""
    if circuit.reference != had:
        designs = CircuitDesign.objects.filter(job=circuit.job)
        if designs.filter(circuit_reference=had).exists():
            designs.filter(circuit_reference=circuit.reference).delete()
            designs.filter(circuit_reference=had).update(circuit_reference=circuit.reference)
        _carry_lengths(circuit, had, by, now)


def _carry_lengths(circuit: Circuit, had: str, by: User, now: datetime) -> None:
    """The latest length of its own cable, and of each that branches off it."""
    rows = LengthCorrection.objects.filter(job=circuit.job, circuit_reference=had).order_by("pk")
    latest = {row.branch_cable_id: row for row in rows}
    standing = [row for row in latest.values() if row.cable_metres is not None]
    moved = [
        moved for row in standing for moved in (
            (circuit.reference, row, row.cable_metres, f"{row.reason} ({had} until now)"[:200]),
            (had, row, None, f"Now called {circuit.reference}"),
        )
    ]
    LengthCorrection.objects.bulk_create(
        LengthCorrection(
            firm_id=circuit.firm_id, job=circuit.job, circuit_reference=reference, branch_cable_id=row.branch_cable_id,
            cable_metres=metres, reason=reason, made_by=by, made_at=now,
        )
        for reference, row, metres, reason in moved
    )

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
    latest = LengthCorrection.objects.filter(job=circuit.job, circuit_reference=had).order_by("pk").last()
    if circuit.reference == had or latest is None or latest.cable_metres is None:
        return
    moved = (
        (circuit.reference, latest.cable_metres, f"{latest.reason} ({had} until now)"[:200]),
        (had, None, f"Now called {circuit.reference}"),
    )
    LengthCorrection.objects.bulk_create(
        LengthCorrection(
            firm_id=circuit.firm_id, job=circuit.job, circuit_reference=reference, cable_metres=metres, reason=reason,
            made_by=by, made_at=now,
        )
        for reference, metres, reason in moved
    )

"""Circuits and a supply that the tests of the wiring share; figures are invented."""

from decimal import Decimal

from jobs.core.electrics.cables import Method, find_cable
from jobs.core.electrics.circuit import Circuit, Curve, Device, Part, RcdType, Supply
from jobs.core.stages import CircuitKind

SUPPLY = Supply(Decimal("0.35"), Decimal(100))


def device(amps=32, *, rcd=30, rcd_type=RcdType.A, curve=Curve.B) -> Device:
    return Device(curve, Decimal(amps), rcd, rcd_type)


def circuit(
    kind=CircuitKind.RADIAL, size="2.5", metres=20, *, amps=20, load=20, method=Method.C, reference="A1", **more
) -> Circuit:
    part = Part(Decimal(metres), method)
    given = {"parts": (part,), "device": device(amps), "design_amps": Decimal(load)} | more
    return Circuit(reference, f"Circuit {reference}", kind, find_cable(Decimal(size)), **given)


def ring(metres=60, **more) -> Circuit:
    return circuit(CircuitKind.RING, "2.5", metres, amps=32, load=32, **{"points": 8, "floor_area_m2": Decimal(60)} | more)

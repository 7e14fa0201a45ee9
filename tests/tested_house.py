"""A small house ready for testing: a ring with three sockets, lights, somebody who may test, and an instrument."""

from datetime import timedelta
from uuid import uuid4

from jobs.actions.operations import Answer, apply_operation
from jobs.actions.readings import Taken, record_readings
from jobs.core.electrics.under_test import Measure, WhenTested
from jobs.core.stages import CircuitKind, RoomKind
from jobs.models import Job
from tests.factories import (
    NOW,
    make_area,
    make_circuit,
    make_crew_user,
    make_firm,
    make_instrument,
    make_job,
    make_office,
    make_person,
    make_point,
    make_point_kind,
    make_room,
)

DEAD = {Measure.R1_R2: "0.42", Measure.IR_LIVE: ">200", Measure.IR_EARTH: ">200", Measure.POLARITY: "ok"}
RING_ENDS = {Measure.RING_R1: "0.44", Measure.RING_RN: "0.45", Measure.RING_R2: "0.73"}


class TestedHouse:
    __test__ = False

    def __init__(self) -> None:
        self.dead_tests = 0
        self.firm = make_firm()
        self.tester = make_person(self.firm, "Priya", may_test=True)
        self.phone, self.office = make_crew_user(self.tester), make_office(self.firm)
        self.tool = make_instrument(self.firm)
        self.job = make_job(self.firm, "Mill Row", state=Job.State.ON_SITE)
        self.ring = make_circuit(self.job, "R1", CircuitKind.RING, name="Sockets")
        self.lights = make_circuit(self.job, "L1", CircuitKind.LIGHTING, name="Lights")
        area = make_area(self.job)
        self.lounge, self.hall = make_room(area, "Lounge", RoomKind.LOUNGE), make_room(area, "Hall", RoomKind.HALL)
        socket, light = (make_point_kind(self.firm, code, name=code) for code in ("socket", "light"))
        self.sockets = [make_point(room, socket, self.ring) for room in (self.lounge, self.lounge, self.hall)]
        self.lamp = make_point(self.hall, light, self.lights)

    def send(self, kind: str, item: object, value: dict[str, object], *, user: object = None, minutes: int = 0) -> Answer:
        at = NOW + timedelta(minutes=minutes)
        stamp = at.isoformat()
        body = {"op_id": str(uuid4()), "kind": kind, "item": str(item), "value": value, "device_at": stamp, "sent_at": stamp}
        return apply_operation(user=user or self.phone, body=body, now=at)

    def send_supply(self, **written: str) -> Answer:
        return self.send("supply", self.job.uid, {"instrument": str(self.tool.uid), "note": ""} | written)

    def send_sockets(self, *texts: tuple[str, str], when: str = "end") -> Answer:
        """Line to neutral and line to cpc of each socket, in the order of the sockets."""
        value = {"when": when, "instrument": str(self.tool.uid), "note": ""}
        for point, (live, cpc) in zip(self.sockets, texts, strict=False):
            value |= {f"cross_live_{point.uid.hex}": live, f"cross_cpc_{point.uid.hex}": cpc}
        return self.send("sockets", self.ring.uid, value)

    def dead_test(self, circuit, when: WhenTested = WhenTested.END, **changes: str) -> None:
        """Everything a dead test asks, as it should read; `changes` by the measure's stored value."""
        written = DEAD | (RING_ENDS if circuit.kind == CircuitKind.RING else {})
        written |= {Measure(measure): text for measure, text in changes.items()}
        self.dead_tests += 1
        taken = Taken(when, self.tester, NOW + timedelta(seconds=self.dead_tests), self.tool)
        record_readings(circuit=circuit, written=written, taken=taken, by=self.phone, now=NOW)

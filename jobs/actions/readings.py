"""Readings: what somebody who may test measured on a circuit, at a ring's sockets, or at the origin.

Rows are added; a correction names the row it corrects.
"""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db import transaction

from jobs.actions.permission import Refused, require_member
from jobs.core.ages import is_under_18
from jobs.core.electrics import readings as core
from jobs.core.electrics.sockets import SocketMeasure
from jobs.core.electrics.supply_tests import SUPPLY_UNITS, SupplyMeasure
from jobs.core.electrics.under_test import UNITS, Measure, WhenTested
from jobs.core.stages import CircuitKind
from jobs.models import Circuit, Instrument, Job, Person, Point, Reading, User
from jobs.queries.firm_calendar import local_today
from jobs.queries.readings import INSULATION, find_standing
from jobs.queries.supply_readings import find_supply_standing

STEP = Decimal("0.000001")
CLOSED = (Job.State.HANDED_OVER, Job.State.DROPPED)


@dataclass(frozen=True)
class Taken:
    """When in the job readings were taken, by whom, at what moment, with what. `note`: why something was not tested."""

    when: WhenTested
    by: Person | None
    at: datetime
    instrument: Instrument | None = None
    test_volts: int = 500
    note: str = ""


@transaction.atomic
def record_readings(
    *, circuit: Circuit, written: Mapping[Measure, str], taken: Taken, by: User, now: datetime, op_id: uuid.UUID | None = None
) -> list[Reading]:
    """Keep what was written for a circuit, as it was written; blanks leave a measure as it is, a dash takes it back.

    What is no reading is kept too, and holds until it is written again: nothing a tester wrote gets lost.
    """
    require_member(by, circuit, taken.instrument, taken.by)
    circuit = _lock(circuit)
    rows = [_of_circuit(circuit, measure, text, taken) for measure, text in written.items() if text.strip()]
    return _keep(circuit.job, rows, taken, by, now, op_id)


@transaction.atomic
def record_sockets(
    *, circuit: Circuit, written: Mapping[Point, Mapping[SocketMeasure, str]], taken: Taken, by: User, now: datetime,
    op_id: uuid.UUID | None = None,
) -> list[Reading]:
    """Keep what was read at sockets of a ring with its ends cross-connected, in the same way."""
    require_member(by, circuit, taken.instrument, taken.by, *written)
    circuit = _lock(circuit)
    if circuit.kind != CircuitKind.RING:
        raise Refused(f"{circuit.reference} is no ring, so its ends are not cross-connected.")
    if any(point.circuit_id != circuit.pk for point in written):
        raise Refused(f"A socket is no longer on {circuit.reference}. Open the page again and write what was read there.")
    rows = [
        _of_socket(circuit, point, measure, text, taken)
        for point, texts in written.items() for measure, text in texts.items() if text.strip()
    ]
    return _keep(circuit.job, rows, taken, by, now, op_id)


@transaction.atomic
def record_supply(
    *, job: Job, written: Mapping[SupplyMeasure, str], taken: Taken, by: User, now: datetime, op_id: uuid.UUID | None = None
) -> list[Reading]:
    """Keep what was read at the origin, in the same way; these are live tests, whenever they are done."""
    require_member(by, job, taken.instrument, taken.by)
    taken = replace(taken, when=WhenTested.END)
    job = Job.objects.select_for_update(of=("self",)).select_related("firm").get(pk=job.pk)
    rows = [_of_supply(job, measure, text, taken) for measure, text in written.items() if text.strip()]
    return _keep(job, rows, taken, by, now, op_id)


def moment_of(job: Job, day: date, now: datetime) -> datetime:
    """When something was tested of which only the day is known: now if that is today, else its noon."""
    today = local_today(job.firm, now)
    if day > today:
        raise Refused("That day lies ahead.", field="tested_on")
    return now if day == today else datetime.combine(day, time(12), ZoneInfo(job.firm.zone))


def _lock(circuit: Circuit) -> Circuit:
    return Circuit.objects.select_for_update(of=("self",)).select_related("job__firm").get(pk=circuit.pk)


def _keep(
    job: Job, rows: list[Reading], taken: Taken, by: User, now: datetime, op_id: uuid.UUID | None
) -> list[Reading]:
    _refuse_tester(job, taken, by)
    new = [row for row in rows if row.state != core.State.BLANK or row.corrects_id]
    if not new:
        raise Refused("Write at least one reading.")
    _refuse_without_instrument(new)
    op_id = op_id or uuid.uuid4()
    for row in new:
        row.op_id, row.entered_by, row.entered_at = op_id, by, now
    return Reading.objects.bulk_create(new)


def _refuse_tester(job: Job, taken: Taken, by: User) -> None:
    tester = taken.by
    if job.state in CLOSED:
        raise Refused(f"{job} is closed. Take it up again on its page before adding readings.")
    if tester is None:
        raise Refused("Say who tested: readings belong to somebody on the crew who may test.", field="tested_by")
    if not by.is_office and tester != by.person:
        raise Refused("Readings from a phone are those of the person signed in there.")
    if taken.when == WhenTested.END and is_under_18(tester.born_on, local_today(job.firm, taken.at)):
        raise Refused(f"{tester} is under 18, and the tests at the end are live. They never test live.", field="tested_by")
    if not tester.may_test:
        raise Refused(
            f"{tester} may not test. Somebody marked “May test and sign” enters readings; the office says so on a "
            "person’s page.",
            field="tested_by",
        )


def _refuse_without_instrument(rows: list[Reading]) -> None:
    figures = [row for row in rows if row.amount is not None and row.instrument_id is None]
    if figures:
        raise Refused("Say with which instrument it was measured.", field="instrument")


def _of_circuit(circuit: Circuit, measure: Measure, text: str, taken: Taken) -> Reading:
    stood = find_standing(circuit, taken.when, measure)
    volts = taken.test_volts if measure in INSULATION else None
    return _row(circuit.job, measure, core.read(text, UNITS[measure]), taken, stood, circuit=circuit, when_tested=taken.when,
                test_volts=volts)


def _of_socket(circuit: Circuit, point: Point, measure: SocketMeasure, text: str, taken: Taken) -> Reading:
    stood = find_standing(circuit, taken.when, measure, point)
    read = core.read(text, core.Unit.OHM)
    return _row(circuit.job, measure, read, taken, stood, circuit=circuit, point=point, when_tested=taken.when)


def _of_supply(job: Job, measure: SupplyMeasure, text: str, taken: Taken) -> Reading:
    stood = find_supply_standing(job, measure)
    return _row(job, measure, core.read(text, SUPPLY_UNITS[measure]), taken, stood)


def _row(
    job: Job, measure: str, read: core.Reading, taken: Taken, stood: Reading | None, **of_what: object
) -> Reading:
    tool = taken.instrument
    return Reading(
        firm_id=job.firm_id, job=job, measure=measure, text=read.text, state=read.state,
        amount=None if read.amount is None else read.amount.quantize(STEP), note=taken.note, instrument=tool,
        calibrated_on=tool.calibrated_on if tool else None, calibration_due_on=tool.due_on if tool else None,
        tested_by=taken.by, tested_at=taken.at, corrects=stood if stood and stood.tested_at <= taken.at else None, **of_what,
    )

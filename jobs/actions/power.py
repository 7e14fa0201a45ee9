"""Power goes on once what is read before it is recorded and in its limits, or the office says why it may all the same."""

from collections.abc import Collection
from datetime import datetime

from django.db import transaction

from jobs.actions.permission import Refused, require_office
from jobs.models import Job, PowerOverride, RoomTask, User
from jobs.queries.power_gate import POWER_LINES, PowerHold, load_power_holds, load_room_power_holds

CLOSED = (Job.State.HANDED_OVER, Job.State.DROPPED)


@transaction.atomic
def let_power_on(*, job: Job, keys: Collection[str], reason: str, by: User, now: datetime) -> list[PowerOverride]:
    """Let power on where `keys` say (a circuit's number, or “supply”) although something is missing or out."""
    require_office(by, job)
    job = Job.objects.select_for_update(of=("self",)).select_related("firm").get(pk=job.pk)
    if job.state in CLOSED:
        raise Refused(f"{job} is closed. Take it up again on its page first.")
    holds, reason = [hold for hold in load_power_holds(job) if hold.key in keys], " ".join(reason.split())
    if not holds:
        raise Refused("Nothing chosen holds power any more. Look at the readings again.", field="keys")
    if not reason:
        raise Refused("Say why power may go on all the same; it stays with the job.", field="reason")
    return [_keep(job, hold, reason, by, now) for hold in holds]


def refuse_without_readings(task: RoomTask) -> None:
    """A line that stands for power waits for the readings of its room's circuits and of the supply."""
    holds = load_room_power_holds(task.room) if task.code in POWER_LINES else []
    if holds:
        raise Refused(f"Power is held. {_words(holds)}. Enter the readings; else the office may let power on with a reason.")


def _words(holds: list[PowerHold]) -> str:
    more = f"; and {len(holds) - 1} more" if len(holds) > 1 else ""
    return f"{holds[0].words}{more}"[:200]


def _keep(job: Job, hold: PowerHold, reason: str, by: User, now: datetime) -> PowerOverride:
    return PowerOverride.objects.create(
        firm_id=job.firm_id, job=job, circuit=hold.circuit, holds=list(hold.holds), reason=reason[:300], given_by=by,
        given_at=now,
    )

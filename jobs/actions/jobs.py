"""Jobs: taking one on, changing what is known of it, and its way from survey to hand-over."""

from collections.abc import Mapping
from datetime import date

from django.db import transaction

from jobs.actions.locations import ensure_job_places
from jobs.actions.permission import Refused, require_office
from jobs.actions.survey import renew_programme
from jobs.models import Firm, Job, RoomTask, User
from jobs.queries.progress import NOT_DONE
from jobs.queries.readings_gate import list_end_holds
from jobs.queries.snags import list_open_snags

NEXT_STATES = {
    Job.State.SURVEYED: (Job.State.BOOKED, Job.State.DROPPED),
    Job.State.BOOKED: (Job.State.ON_SITE, Job.State.SURVEYED, Job.State.DROPPED),
    Job.State.ON_SITE: (Job.State.BOOKED, Job.State.DROPPED),
    Job.State.HANDED_OVER: (Job.State.ON_SITE,),
    Job.State.DROPPED: (Job.State.SURVEYED,),
}
"""Where a job may go from each state; handing over is an action of its own."""


@transaction.atomic
def add_job(*, firm: Firm, details: Mapping[str, object], by: User) -> Job:
    """`details` are fields of Job."""
    require_office(by, firm, details.get("customer"), details.get("accessory_range"))
    job = Job(firm=firm, **details)
    _check_job(job)
    job.save()
    ensure_job_places(job)
    return job


@transaction.atomic
def edit_job(*, job: Job, details: Mapping[str, object], by: User) -> Job:
    """Change what is known of a job; its programme follows."""
    require_office(by, job, details.get("customer"), details.get("accessory_range"))
    job = Job.objects.select_for_update().get(pk=job.pk, firm_id=by.firm_id)
    for field, value in details.items():
        setattr(job, field, value)
    _check_job(job)
    job.save(update_fields=list(details))
    ensure_job_places(job)
    renew_programme(job, by)
    return job


@transaction.atomic
def move_job(*, job: Job, state: str, by: User) -> Job:
    """Take a job a step on or back, except handing it over."""
    require_office(by, job)
    job = Job.objects.select_for_update().get(pk=job.pk, firm_id=by.firm_id)
    if state not in NEXT_STATES[Job.State(job.state)]:
        raise Refused(f"{job} is {job.get_state_display().lower()} now. Reload the page to see what can be done.")
    if state == Job.State.BOOKED and not job.rooms.exists():
        raise Refused(f"{job} has no rooms yet. Add its survey first, so that there is work to plan.")
    job.state, job.finished_on = state, None
    job.save(update_fields=["state", "finished_on"])
    return job


@transaction.atomic
def hand_over(
    *, job: Job, finished_on: date, today: date, by: User, open_snags_reason: str = "", open_readings_reason: str = ""
) -> Job:
    """Close a job of which every line is ticked or marked as not needed, and whose circuits are tested and within limits.

    Snags may stay open, and readings missing or out, for a reason of each that is kept with the name of who gave it.
    """
    require_office(by, job)
    job = Job.objects.select_for_update().get(pk=job.pk, firm_id=by.firm_id)
    if job.state != Job.State.ON_SITE:
        raise Refused(f"Only a job that is on site can be handed over; {job} is {job.get_state_display().lower()}.")
    if finished_on > today:
        raise Refused("The day of handing over cannot lie ahead.", field="finished_on")
    _refuse_unfinished(job)
    job.open_snags_reason = _reason_for_snags(job, " ".join(open_snags_reason.split()), by)
    job.open_readings_reason = _reason_for_readings(job, " ".join(open_readings_reason.split()), by)
    job.state, job.finished_on = Job.State.HANDED_OVER, finished_on
    job.save(update_fields=["state", "finished_on", "open_snags_reason", "open_readings_reason"])
    return job


def _reason_for_snags(job: Job, reason: str, by: User) -> str:
    snags = list(list_open_snags(job))
    if not snags:
        return ""
    if not reason:
        more = f" and {len(snags) - 1} more" if len(snags) > 1 else ""
        raise Refused(
            f"Still to be put right: “{snags[0]}” in {snags[0].room}{more}. Tick it on site, or say why the job is "
            "handed over all the same.",
            field="open_snags_reason",
        )
    return f"{reason[:200]} ({by.person or by.get_full_name()}; {', '.join(str(snag) for snag in snags)})"[:300]


def _reason_for_readings(job: Job, reason: str, by: User) -> str:
    holds = list_end_holds(job)
    if not holds:
        return ""
    if not reason:
        more = f"; and {len(holds) - 1} more" if len(holds) > 1 else ""
        raise Refused(
            f"Readings at the end are missing or out: {holds[0]}{more}. Enter them on the job’s readings page, or say why "
            "the job is handed over all the same.",
            field="open_readings_reason",
        )
    return f"{reason[:200]} ({by.person or by.get_full_name()}; {'; '.join(holds)})"[:500]


def _refuse_unfinished(job: Job) -> None:
    open_tasks = RoomTask.objects.filter(NOT_DONE, package__job=job, is_withdrawn=False, snag=None)
    first = open_tasks.select_related("room", "package").order_by("-is_hold_point", "package_id", "position").first()
    if first:
        count = open_tasks.count()
        raise Refused(
            f"{count} {'line is' if count == 1 else 'lines are'} not ticked yet, such as “{first.text}” in {first.room} "
            f"({first.package.get_stage_display().lower()}). Tick them on site, or mark there why they are not needed."
        )


def _check_job(job: Job) -> None:
    if Job.objects.filter(firm_id=job.firm_id, name__iexact=job.name).exclude(pk=job.pk).exists():
        raise Refused(f"There is a job called “{job.name}” already. Add the street or the year.", field="name")
    start, finish = job.earliest_start_on, job.promised_finish_on
    if start and finish and finish < start:
        raise Refused("The promised finish comes before the earliest start.", field="promised_finish_on")

"""A job's handover pack, section by section: the same for the page and for paper."""

from datetime import datetime

from jobs.core.handover import Pack, Part, Section
from jobs.models import Handover, HandoverPdf, Job
from jobs.queries.handover_electrics import list_alarm_blocks, list_circuit_blocks, list_rcd_blocks, list_reading_blocks
from jobs.queries.handover_record import (
    list_caution_blocks,
    list_centre_blocks,
    list_house_blocks,
    list_material_blocks,
    list_open_blocks,
    list_photo_blocks,
    list_reason_blocks,
    list_room_blocks,
)

UNFINISHED = "Not finished yet: this pack shows the work so far."


def load_pack(job: Job, now: datetime) -> Pack:
    """As everything is recorded now. Nothing in it depends on the moment but deadlines that pass."""
    handover = find_handover(job)
    blocks = {
        Part.HOUSE: list_house_blocks(job, handover),
        Part.ROOMS: list_room_blocks(job),
        Part.CIRCUITS: list_circuit_blocks(job),
        Part.READINGS: list_reading_blocks(job),
        Part.PHOTOS: list_photo_blocks(job),
        Part.CENTRES: list_centre_blocks(job),
        Part.ALARMS: list_alarm_blocks(job),
        Part.RCD: list_rcd_blocks(),
        Part.MATERIALS: list_material_blocks(job, handover),
        Part.OPEN: list_open_blocks(job, now),
        Part.REASONS: list_reason_blocks(job),
        Part.CAUTIONS: list_caution_blocks(),
    }
    sections = tuple(Section(part, tuple(blocks[part])) for part in Part)
    return Pack(f"{_place(job)}: handover pack", job.firm.name, tuple(_lines(job)), sections)


def find_handover(job: Job) -> Handover:
    """What the office added; an empty one, not stored, while it has added nothing."""
    return Handover.objects.filter(job=job).first() or Handover(firm_id=job.firm_id, job=job)


def find_made(job: Job) -> HandoverPdf | None:
    """The newest printed pack."""
    return HandoverPdf.objects.filter(job=job).exclude(made_at=None).order_by("-made_at", "-pk").first()


def _place(job: Job) -> str:
    return job.address_line or job.name


def _lines(job: Job) -> list[str]:
    firm = job.firm
    reach = ", ".join(part for part in (firm.phone, firm.email, " ".join(firm.address.split())) if part)
    whom = f"For {job.customer.name}." if job.customer else ""
    when = f"Finished on {job.finished_on:%-d %B %Y}." if job.finished_on else UNFINISHED
    return [line for line in (whom, when, f"Questions: {firm.name}, {reach}." if reach else "") if line]

"""Sections of a handover pack about the house: rooms, photos, centres, materials, what is open, and reasons."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db.models import Sum

from jobs.core.centres import SURFACES
from jobs.core.figures import amount
from jobs.core.handover import CAUTIONS, Block, Head, Lines, Picture, Pictures, Warning, Words, add_months, table
from jobs.core.stages import Stage
from jobs.models import Handover, Item, Job, MaterialNeed, Photo, Point, Room, RoomTask, Variation
from jobs.queries.actual_use import load_use
from jobs.queries.centres import CentreRow, load_centres
from jobs.queries.deadlines import load_job_deadlines
from jobs.queries.go_ahead import list_overrides
from jobs.queries.photos import load_job_photos
from jobs.queries.power_gate import list_power_overrides
from jobs.queries.snags import list_open_snags

BEFORE_COVER_UP = (Stage.STRIP_OUT, Stage.FIRST_FIX)
WITHOUT_WARRANTY = "Nothing has been entered about warranties. Makers’ papers and receipts say what holds."


def list_house_blocks(job: Job, handover: Handover) -> Iterator[Block]:
    if handover.words:
        yield from map(Words, _paragraphs(handover.words))
    facts = {
        "House": job.house, "Address": job.address_line, "Walls": job.get_wall_kind_display(),
        "Work": f"{job.points.filter(is_dropped=False).count()} points in {job.rooms.count()} rooms, "
                f"{job.circuits.count()} circuits",
    }
    yield table("The house in short", ("What", "As recorded"), [row for row in facts.items() if row[1]], (1, 3))


def list_room_blocks(job: Job) -> Iterator[Block]:
    kinds = _points_by_room(job)
    lines = _lines_by_room(job)
    rows = [
        (str(room.area), room.name, "; ".join(kinds[room.pk]) or "no points", _done_words(*lines.get(room.pk, (0, 0))))
        for room in _rooms(job)
    ]
    if not rows:
        yield Words("No room has been surveyed.")
        return
    yield table("Points and work by room", ("Part of the house", "Room", "Points", "Work"), rows, (3, 3, 8, 3))


def list_photo_blocks(job: Job) -> Iterator[Block]:
    groups = [group for group in load_job_photos(job) if group.stage in BEFORE_COVER_UP]
    if not groups:
        yield Words("No photo was taken before walls and ceilings were closed.")
        return
    yield Words("They show where cables run. A point’s place on the finished wall may differ by the thickness of the plaster.")
    by_room: dict[Room, list[Photo]] = defaultdict(list)
    for group in groups:
        by_room[group.room] += group.photos
    for room, photos in by_room.items():
        yield Head(room.name)
        yield Pictures(tuple(_picture(photo, _zone(job)) for photo in sorted(photos, key=_wall_place)))


def list_centre_blocks(job: Job) -> Iterator[Block]:
    found = [(room, row) for room in _rooms(job) for row in load_centres(room)]
    if not found:
        yield Words("Nothing here has a centre to measure.")
        return
    yield Words("Seen from above, wall A runs along the room’s length; B, C and D follow clockwise.")
    rows = [(room.name, row.name, *_centre_cells(row)) for room, row in found]
    yield table("Centres by room", ("Room", "Point", "Centre", "Measured"), rows, (3, 4, 6, 2))


def list_material_blocks(job: Job, handover: Handover) -> Iterator[Block]:
    fitted = _fitted(job)
    rows = [(item.name, amount(quantity, is_cable=item.is_cable), source) for item, quantity, source in fitted]
    if rows:
        yield table("Materials", ("Material", "Quantity", "From"), rows, (6, 2, 3))
    else:
        yield Words("No materials have been taken off or booked yet.")
    yield Head("Warranties")
    covered = _warranty_rows(job, [item for item, *_ in fitted])
    if covered:
        yield Words(_warranty_words(job))
        yield table("Warranties by material", ("Material", "Warranty", "To keep it"), covered, (5, 3, 5))
    yield from map(Words, _paragraphs(handover.warranties) or ([] if covered else [WITHOUT_WARRANTY]))


def list_open_blocks(job: Job, now: datetime) -> Iterator[Block]:
    found = False
    for title, items in (
        ("Snags", [f"{snag.room.name}: {snag.words}" for snag in list_open_snags(job)]),
        ("Found on site, not answered yet", _variation_lines(job, Variation.State.WAITING)),
        ("Work not recorded as done", _unfinished(job)),
        ("Papers", [
            f"{row.deadline.kind.label}: by {row.deadline.due_on:%-d %B %Y}"
            for row in load_job_deadlines(job, now) if not row.is_done
        ]),
    ):
        if items:
            found = True
            yield Head(title)
            yield Lines(tuple(items))
    if not found:
        yield Words("Nothing is open.")


def list_reason_blocks(job: Job) -> Iterator[Block]:
    items = [*_go_ahead_lines(job), *_power_lines(job), *_left_lines(job), *_handed_over_lines(job)]
    agreed = _variation_lines(job, Variation.State.ACCEPTED)
    if agreed:
        yield Head("Added on the way")
        yield Lines(tuple(agreed))
    if items:
        yield Head("Gone ahead all the same")
        yield Lines(tuple(items))
    if not items and not agreed:
        yield Words("Nothing was decided against the usual order.")


def list_caution_blocks() -> Iterator[Block]:
    yield from map(Warning, CAUTIONS)


def _rooms(job: Job) -> list[Room]:
    return list(job.rooms.select_related("area").order_by("area__position", "position", "pk"))


def _points_by_room(job: Job) -> dict[int, list[str]]:
    counts: dict[int, dict[str, int]] = defaultdict(dict)
    for row in Point.objects.filter(job=job, is_dropped=False).select_related("kind").order_by("kind__position", "pk"):
        counts[row.room_id][row.kind.name] = counts[row.room_id].get(row.kind.name, 0) + 1
    return defaultdict(list, {pk: [f"{name} × {count}" for name, count in kinds.items()] for pk, kinds in counts.items()})


def _lines_by_room(job: Job) -> dict[int, tuple[int, int]]:
    """Lines done and lines in all."""
    found: dict[int, tuple[int, int]] = {}
    for row in RoomTask.objects.filter(package__job=job, is_withdrawn=False).order_by():
        done, whole = found.get(row.room_id, (0, 0))
        found[row.room_id] = done + bool(row.is_done or row.not_needed), whole + 1
    return found


def _done_words(done: int, whole: int) -> str:
    if not whole:
        return "no programme"
    return "all recorded as done" if done == whole else f"{done} of {whole} lines recorded as done"


def _picture(photo: Photo, zone: ZoneInfo) -> Picture:
    place = f"{photo.room.name}, {photo.get_surface_display()}" if photo.surface else photo.room.name
    taken = f"{photo.taken_at.astimezone(zone):%-d %B %Y}"
    point = f"; {photo.point.label or photo.point.kind.name}" if photo.point else ""
    words = f". {photo.words}" if photo.words else ""
    return Picture(photo.pk, photo.sha256, f"{place}, {photo.get_stage_display().lower()}", f"{place}{point}, {taken}{words}")


def _wall_place(photo: Photo) -> tuple[int, datetime, int]:
    order = [*SURFACES]
    return (order.index(photo.surface) if photo.surface else len(order), photo.taken_at, photo.pk)


def _zone(job: Job) -> ZoneInfo:
    return ZoneInfo(job.firm.zone)


def _centre_cells(row: CentreRow) -> tuple[str, str]:
    return (row.said.centre.words, f"{row.said.at:%-d %b %Y}") if row.said else ("not measured", "")


def _fitted(job: Job) -> list[tuple[Item, Decimal, str]]:
    """What was booked as used or proposed, else what was taken off."""
    used = load_use(job)
    if used:
        return [
            (row.item, row.actual or row.expected, "booked as used" if row.actual else "taken off") for row in used
        ]
    needs = MaterialNeed.objects.filter(package__job=job).values("item").annotate(total=Sum("quantity")).order_by("item__name")
    items = Item.objects.in_bulk([row["item"] for row in needs])
    return [(items[row["item"]], row["total"], "taken off") for row in needs]


def _warranty_rows(job: Job, items: Iterable[Item]) -> list[tuple[str, str, str]]:
    """What makers or suppliers give, as the firm typed it at the item."""
    found = sorted((item for item in items if item.warranty_months), key=lambda item: item.name)
    return [(item.name, _months_words(item.warranty_months, job), item.warranty_needs) for item in found]


def _months_words(months: int, job: Job) -> str:
    until = f", to {add_months(job.finished_on, months):%-d %B %Y}" if job.finished_on else ""
    return f"{months} month{'' if months == 1 else 's'}{until}"


def _warranty_words(job: Job) -> str:
    counted = "Counted from the day the work was finished; " if job.finished_on else ""
    words = f"{counted}what the maker’s or supplier’s own paper says comes first. Keep this list with the receipts."
    return words[0].upper() + words[1:]


def _unfinished(job: Job) -> list[str]:
    rows = RoomTask.objects.filter(package__job=job, is_withdrawn=False, done_share__lt=1, not_needed="", snag=None)
    counts: dict[str, int] = defaultdict(int)
    for row in rows.select_related("room__area").order_by("room__area__position", "room__position", "room_id"):
        counts[row.room.name] += 1
    return [f"{name}: {count} {'line' if count == 1 else 'lines'}" for name, count in counts.items()]


def _variation_lines(job: Job, state: str) -> list[str]:
    rows = Variation.objects.filter(room__job=job, state=state).select_related("room", "kind")
    return [f"{row.room.name}: {row}" + (f", {row.label}" if row.label else "") + (f" ({row.words})" if row.words else "")
            for row in rows]


def _go_ahead_lines(job: Job) -> Iterator[str]:
    for row in list_overrides(job):
        missing = "; ".join(row.missing)
        yield (
            f"{row.visit} could start on {row.given_at.astimezone(_zone(job)):%-d %B %Y} although this was not recorded: "
            f"{missing.rstrip('.')}. Reason: {row.override_reason}"
        )


def _power_lines(job: Job) -> Iterator[str]:
    for row in list_power_overrides(job):
        who = row.given_by.person or row.given_by.get_full_name()
        yield (
            f"{who} let power on, {row.of_what}, on {row.given_at.astimezone(_zone(job)):%-d %B %Y} although this was missing "
            f"or out: {' '.join(row.holds).rstrip('.')}. Reason: {row.reason}"
        )


def _left_lines(job: Job) -> Iterator[str]:
    rows = RoomTask.objects.filter(package__job=job, is_withdrawn=False, is_hold_point=True).exclude(not_needed="")
    for row in rows.select_related("room"):
        yield f"{row.room.name}: “{row.text}” was held not to be needed. Reason: {row.not_needed}"


def _handed_over_lines(job: Job) -> Iterable[str]:
    reasons = {"snags open": job.open_snags_reason, "readings missing or out": job.open_readings_reason}
    return [f"Handed over with {what}. Reason: {reason}" for what, reason in reasons.items() if reason]


def _paragraphs(text: str) -> list[str]:
    return [" ".join(part.split()) for part in text.split("\n\n") if part.split()]

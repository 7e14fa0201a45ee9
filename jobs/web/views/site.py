"""The pages people use on site, made for a phone in one hand."""

from datetime import datetime
from functools import partial

import segno
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, resolve_url
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.operations import apply_operation
from jobs.actions.pictures import MOST_BYTES
from jobs.core.centres import LENGTH_WALLS, SURFACES, WIDTH_WALLS
from jobs.core.stages import WORKED_STAGES, Stage
from jobs.models import Item, PointKind, RoomTask
from jobs.queries.actual_use import list_drums_left, list_expected
from jobs.queries.centres import CENTRES_LINE, draw_room, keep_unmeasured, load_centres
from jobs.queries.cut_sheets import has_cable_to_pull, load_quick_sheets
from jobs.queries.photos import find_unseen, list_room_photos
from jobs.queries.power_gate import load_room_power_holds
from jobs.queries.readings_gate import list_room_untested
from jobs.queries.site import find_next_day, list_open_jobs, load_day, load_site_job
from jobs.queries.site_cables import list_cables
from jobs.queries.site_room import StageBlock, list_points, load_room
from jobs.queries.snags import list_room_snags
from jobs.queries.variations import list_room_variations
from jobs.web.access import firm_only
from jobs.web.clock import today_of
from jobs.web.forms.site import MarkForm, RecordForm
from jobs.web.getters import get_job_or_404, get_own_or_404, get_room_or_404
from jobs.web.kept_pages import render_kept, render_kept_unchanged

UNREADABLE = "That could not be read. Open the room again and try once more."


@never_cache
@firm_only
@require_GET
def today(request: HttpRequest) -> HttpResponse:
    return render_kept_unchanged(request, "site/today.html", partial(_today_page, request))


def _today_page(request: HttpRequest) -> dict[str, object]:
    day = today_of(request)
    next_day = find_next_day(request.user, day)
    return {
        "today": day,
        "jobs": load_day(request.user, day),
        "next_day": next_day,
        "next_jobs": load_day(request.user, next_day) if next_day else [],
        "open_jobs": list_open_jobs(request.user.firm),
    }


@never_cache
@firm_only
@require_GET
def site_job(request: HttpRequest, pk: int) -> HttpResponse:
    return render_kept_unchanged(request, "site/job.html", partial(_job_page, request, pk))


def _job_page(request: HttpRequest, pk: int) -> dict[str, object]:
    job = get_job_or_404(request, pk)
    return {
        "site_job": load_site_job(request.user, job, today_of(request)),
        "circuits": job.circuits.select_related("cable"),
        "packages": job.packages.select_related("area"),
        "items": Item.objects.filter(firm_id=job.firm_id),
        "drums": list_drums_left(job.firm),
        "expected": list_expected(job),
        "cables": list_cables(load_quick_sheets(job)),
        "is_cable_open": has_cable_to_pull(job),
    }


@never_cache
@firm_only
@require_GET
def site_room(request: HttpRequest, pk: int) -> HttpResponse:
    return render_kept_unchanged(request, "site/room.html", partial(_room_page, request, pk))


def _room_page(request: HttpRequest, pk: int) -> dict[str, object]:
    room = get_room_or_404(request, pk)
    blocks = load_room(room, request.user, today_of(request))
    centres, photos = load_centres(room), list_room_photos(room)
    return {
        "room": room,
        "blocks": blocks,
        "stages": list(Stage),
        "worked_stages": WORKED_STAGES,
        "snags": list_room_snags(room),
        "variations": list_room_variations(room),
        "point_kinds": PointKind.objects.filter(firm_id=room.firm_id),
        "circuits": room.job.circuits.all(),
        "stage_now": next((block.package.stage for block in blocks if block.is_now), Stage.FIRST_FIX),
        "photos": photos,
        "unseen": find_unseen(photos),
        "surfaces": SURFACES,
        "points": list_points(room),
        "centres": centres,
        "sketch": draw_room(room, centres) if centres else None,
        "unmeasured": keep_unmeasured(room, centres),
        "untested": list_room_untested(room),
        "power_holds": load_room_power_holds(room) if any(_is_testing(block) for block in blocks) else [],
        "centres_line": CENTRES_LINE,
        "walls": (LENGTH_WALLS, WIDTH_WALLS),
    }


@firm_only
@require_POST
def mark_line(request: HttpRequest, pk: int) -> HttpResponse:
    """A mark without scripts: the same operation as from the outbox, made and sent at once."""
    task, form, now = get_own_or_404(request, RoomTask, pk), MarkForm(request.POST), timezone.now()
    problem = UNREADABLE
    if form.is_valid():
        problem = apply_operation(user=request.user, body=form.as_operation(task.uid, now), now=now).reason
    if problem:
        messages.error(request, problem)
    return redirect(f"{resolve_url('site_room', task.room_id)}#line-{task.uid}")


@firm_only
@require_POST
def record_in_room(request: HttpRequest, pk: int) -> HttpResponse:
    """What a room's forms record without scripts."""
    return _record(request, resolve_url("site_room", get_room_or_404(request, pk).pk))


@firm_only
@require_POST
def record_readings(request: HttpRequest, pk: int, when: str) -> HttpResponse:
    """What the forms of the readings page record without scripts."""
    return _record(request, resolve_url("site_readings", get_job_or_404(request, pk).pk, when))


@firm_only
@require_POST
def record_on_job(request: HttpRequest, pk: int) -> HttpResponse:
    """What a job's forms record without scripts."""
    return _record(request, resolve_url("site_job", get_job_or_404(request, pk).pk))


@firm_only
@require_POST
def record_on_van(request: HttpRequest) -> HttpResponse:
    """What is ticked on a van list without scripts."""
    return _record(request, resolve_url("site_van"))


@never_cache
@firm_only
@require_GET
def room_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """For whoever cuts the new ceiling: the room on paper, with the way back to it."""
    made_at, room = _moment(), get_room_or_404(request, pk)
    centres = load_centres(room)
    address = request.build_absolute_uri(resolve_url("site_room", pk))
    page = {
        "made_at": made_at, "room": room, "centres": centres, "sketch": draw_room(room, centres),
        "blocks": load_room(room, request.user, today_of(request)), "points": list_points(room), "address": address,
        "qr": _qr(address),
    }
    return render_kept(request, "site/room_sheet.html", page)


@never_cache
@firm_only
@require_GET
def site_cuts(request: HttpRequest, pk: int) -> HttpResponse:
    """The cut list on paper, with the way back to the job; the same cuts as on the phone."""
    made_at, job = _moment(), get_job_or_404(request, pk)
    address = request.build_absolute_uri(resolve_url("site_job", pk))
    page = {
        "made_at": made_at, "job": job, "sheets": load_quick_sheets(job), "is_cable_open": has_cable_to_pull(job),
        "address": address, "qr": _qr(address),
    }
    return render_kept(request, "site/cuts.html", page)


def _qr(address: str) -> str:
    return segno.make(address, error="m", micro=False).svg_data_uri(scale=4, border=2)


def _record(request: HttpRequest, back: str) -> HttpResponse:
    form, now = RecordForm(request.POST), timezone.now()
    problem = _apply_each(request, form, now) if form.is_valid() else UNREADABLE
    if problem:
        messages.error(request, problem)
    else:
        messages.success(request, "Recorded.")
    return redirect(back)


def _apply_each(request: HttpRequest, form: RecordForm, now: datetime) -> str:
    """Every picture is an operation of its own; answers the first problem, or nothing."""
    pictures = [file.read(MOST_BYTES + 1) for file in request.FILES.getlist("picture")] or [None]
    answers = [
        apply_operation(user=request.user, body=form.as_operation(now, number), now=now, picture=picture)
        for number, picture in enumerate(pictures)
    ]
    return next((answer.reason for answer in answers if answer.reason), "")


def _is_testing(block: StageBlock) -> bool:
    return block.is_now and block.package.stage == Stage.TEST


def _moment() -> str:
    return timezone.now().isoformat(timespec="milliseconds")

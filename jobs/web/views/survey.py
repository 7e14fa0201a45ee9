"""The survey as it is typed: one page of areas, rooms, points and circuits, and a page for each of them."""

from collections.abc import Callable

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST
from django.views.decorators.vary import vary_on_headers

from jobs.actions import survey as actions
from jobs.models import Area, Circuit, Job, Point, Room
from jobs.queries.survey import list_group, load_survey, load_surveyed_room
from jobs.web.access import office_only
from jobs.web.answers import carry_out, press
from jobs.web.forms.survey import AreaForm, CircuitForm, PointsForm, RoomForm
from jobs.web.getters import get_job_or_404, get_of_job_or_404


@office_only
@require_GET
@vary_on_headers("HX-Request")
def survey(request: HttpRequest, job_pk: int) -> HttpResponse:
    return _survey_page(request, get_job_or_404(request, job_pk))


@office_only
@require_POST
def add_area(request: HttpRequest, job_pk: int) -> HttpResponse:
    job, form = get_job_or_404(request, job_pk), AreaForm(request.POST)
    done = carry_out(form, lambda: actions.add_area(job=job, details=form.cleaned_data, by=request.user))
    return _added(request, job, done, "areas", area_form=form)


@office_only
@require_POST
def add_room(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_job_or_404(request, job_pk)
    form = RoomForm(request.POST, job=job)
    done = carry_out(form, lambda: actions.add_room(job=job, details=form.cleaned_data, by=request.user))
    return _added(request, job, done, "add-room", room_form=form)


@office_only
@require_POST
def add_circuit(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_job_or_404(request, job_pk)
    form = CircuitForm(request.POST, job=job)
    done = carry_out(form, lambda: actions.add_circuit(job=job, details=form.cleaned_data, by=request.user))
    return _added(request, job, done, "circuits", circuit_form=form)


@office_only
@require_http_methods(["GET", "POST"])
def survey_area(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    area = get_of_job_or_404(request, Area, job_pk, pk)
    form = AreaForm(request.POST or None, instance=area)
    kept = get_of_job_or_404(request, Area, job_pk, pk)
    if carry_out(form, lambda: actions.edit_area(area=kept, details=form.cleaned_data, by=request.user)):
        return redirect("survey", job_pk)
    return _form_page(request, area.job, form, kept, "area", reverse("remove_area", args=[job_pk, pk]))


@office_only
@require_http_methods(["GET", "POST"])
def survey_circuit(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    circuit = get_of_job_or_404(request, Circuit, job_pk, pk)
    form = CircuitForm(request.POST or None, instance=circuit, job=circuit.job)
    kept = get_of_job_or_404(request, Circuit, job_pk, pk)
    if carry_out(form, lambda: actions.edit_circuit(circuit=kept, details=form.cleaned_data, by=request.user)):
        return redirect(reverse("survey", args=[job_pk]) + "#circuits")
    return _form_page(request, circuit.job, form, kept, "circuit", reverse("remove_circuit", args=[job_pk, pk]))


@office_only
@require_http_methods(["GET", "POST"])
def survey_room(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    room = get_of_job_or_404(request, Room, job_pk, pk, "area")
    form = RoomForm(request.POST or None, instance=get_of_job_or_404(request, Room, job_pk, pk), job=room.job)
    if carry_out(form, lambda: actions.edit_room(room=room, details=form.cleaned_data, by=request.user)):
        messages.success(request, "Saved.")
        return redirect("survey_room", job_pk, pk)
    return _room_page(request, get_of_job_or_404(request, Room, job_pk, pk, "area"), form=form)


@office_only
@require_http_methods(["GET", "POST"])
@vary_on_headers("HX-Request")
def add_points(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    """The room with its form for points; a fragment puts it in the room's place on the survey."""
    room = get_of_job_or_404(request, Room, job_pk, pk, "area")
    form = PointsForm(request.POST or None, job=room.job, auto_id=_ids(room))
    if carry_out(form, lambda: actions.add_points(room=room, **form.cleaned_data, by=request.user)):
        if not request.htmx:
            return redirect(reverse("survey_room", args=[job_pk, pk]) + "#points")
        form = PointsForm(job=room.job, auto_id=_ids(room), initial=_same_again(form))
    if request.htmx:
        form.fields["kind"].widget.attrs["autofocus"] = True
        page = {"job": room.job, "row": load_surveyed_room(room), "points_form": form}
        return render(request, "office/_survey_room.html", page, status=422 if form.errors else 200)
    return _room_page(request, room, points_form=form)


@office_only
@require_http_methods(["GET", "POST"])
def change_points(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    point = get_of_job_or_404(request, Point, job_pk, pk, "room__area", "kind", "circuit")
    shown = {name: getattr(point, name) for name in ("kind", "circuit", "label", "height_mm")}
    form = PointsForm(request.POST or None, job=point.job, initial=shown | {"quantity": list_group(point).count()})
    if carry_out(form, lambda: actions.change_points(point=point, **form.cleaned_data, by=request.user)):
        return redirect(reverse("survey_room", args=[job_pk, point.room_id]) + "#points")
    return _form_page(request, point.job, form, point.kind, "points", reverse("remove_points", args=[job_pk, pk]))


@office_only
@require_POST
def remove_area(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    area = get_of_job_or_404(request, Area, job_pk, pk)
    return _removed(request, job_pk, lambda: actions.remove_area(area=area, by=request.user), f"{area} removed.")


@office_only
@require_POST
def remove_room(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    room = get_of_job_or_404(request, Room, job_pk, pk)
    return _removed(request, job_pk, lambda: actions.remove_room(room=room, by=request.user), f"{room} removed.")


@office_only
@require_POST
def remove_circuit(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    circuit = get_of_job_or_404(request, Circuit, job_pk, pk)
    return _removed(request, job_pk, lambda: actions.remove_circuit(circuit=circuit, by=request.user), f"{circuit} removed.")


@office_only
@require_POST
def remove_points(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    point = get_of_job_or_404(request, Point, job_pk, pk, "room", "kind")
    return _removed(
        request, job_pk, lambda: actions.remove_points(point=point, by=request.user),
        f"{point.kind} taken off {point.room}.",
    )


def _removed(request: HttpRequest, job_pk: int, action: Callable[[], object], words: str) -> HttpResponse:
    press(request, action, words)
    return redirect("survey", job_pk)


def _added(request: HttpRequest, job: Job, done: bool, anchor: str, **forms: BaseForm) -> HttpResponse:
    """The survey again: as a fragment without the form that is done, or the whole page."""
    if done and not request.htmx:
        return redirect(reverse("survey", args=[job.pk]) + f"#{anchor}")
    return _survey_page(request, job, **({} if done else forms))


def _survey_page(request: HttpRequest, job: Job, **forms: BaseForm) -> HttpResponse:
    blank = {
        "area_form": AreaForm(auto_id="area_%s"),
        "room_form": RoomForm(job=job, auto_id="room_%s"),
        "circuit_form": CircuitForm(job=job, auto_id="circuit_%s"),
    }
    page = blank | forms | {"job": job, "survey": load_survey(job)}
    is_fragment = request.htmx and not request.htmx.history_restore_request
    template = "office/_survey.html" if is_fragment else "office/survey.html"
    return render(request, template, page, status=422 if forms else 200)


def _room_page(
    request: HttpRequest, room: Room, *, form: RoomForm | None = None, points_form: PointsForm | None = None
) -> HttpResponse:
    page = {
        "job": room.job,
        "row": load_surveyed_room(room),
        "form": form or RoomForm(instance=room, job=room.job),
        "points_form": points_form or PointsForm(job=room.job, auto_id=_ids(room)),
    }
    is_wrong = page["form"].errors or page["points_form"].errors
    return render(request, "office/survey_room.html", page, status=422 if is_wrong else 200)


def _form_page(request: HttpRequest, job: Job, form: BaseForm, subject: object, what: str, remove: str) -> HttpResponse:
    page = {"job": job, "form": form, "subject": subject, "what": what, "remove": remove}
    return render(request, "office/survey_edit.html", page, status=422 if form.errors else 200)


def _ids(room: Room) -> str:
    """Forms of several rooms, and the room's own, stand on one page."""
    return f"points-{room.pk}-%s"


def _same_again(form: PointsForm) -> dict[str, object]:
    """What the next points of a room most likely share with the last."""
    return {"circuit": form.cleaned_data["circuit"], "kind": form.cleaned_data["kind"]}

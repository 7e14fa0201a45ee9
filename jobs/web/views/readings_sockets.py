"""A ring read at each of its sockets, typed in the office."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.actions import readings as actions
from jobs.models import Circuit, User
from jobs.queries.readings import Sheet
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.clock import today_of
from jobs.web.forms.readings import SocketsForm
from jobs.web.getters import get_of_job_or_404
from jobs.web.views.readings import WORDS, sheet_or_404, taken_from


@office_only
@require_http_methods(["GET", "POST"])
def enter_sockets(request: HttpRequest, job_pk: int, pk: int, when: str) -> HttpResponse:
    circuit = get_of_job_or_404(request, Circuit, job_pk, pk, "job__firm")
    sheet = sheet_or_404(circuit, when)
    if sheet.ring is None:
        raise Http404
    form = SocketsForm(
        request.POST or None, job=circuit.job, ring=sheet.ring, initial={"tested_on": today_of(request)}
    )
    if carry_out(form, lambda: _record(form, sheet, request.user)):
        messages.success(request, f"Kept what was read at the sockets of {circuit.reference}.")
        return redirect(reverse("job_readings", args=[job_pk]) + f"#{when}-{pk}")
    page = WORDS | {"job": circuit.job, "sheet": sheet, "form": form}
    return render(request, "office/readings_sockets.html", page, status=422 if form.errors else 200)


def _record(form: SocketsForm, sheet: Sheet, by: User) -> None:
    now = timezone.now()
    taken = taken_from(form, sheet.circuit.job, sheet.when, now)
    actions.record_sockets(circuit=sheet.circuit, written=form.written, taken=taken, by=by, now=now)

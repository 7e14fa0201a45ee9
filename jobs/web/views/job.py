"""The page of one job: its programme, and what the office changes there."""

from functools import partial

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST
from django.views.decorators.vary import vary_on_headers

from jobs.actions import person_choices, programme
from jobs.actions.jobs import NEXT_STATES
from jobs.actions.programme_visits import add_visit as add_visit_to
from jobs.actions.programme_waits import add_dependency, remove_dependency
from jobs.actions.snags import add_snag as add_snag_to
from jobs.actions.variations import accept_variation, decline_variation
from jobs.actions.worked_hours import correct_worked_hours as put_hours_right
from jobs.core.stages import Stage
from jobs.models import Dependency, Job, PersonChoice, Plan, SecretLink, Variation, WorkPackage
from jobs.queries.deadlines import load_job_deadlines
from jobs.queries.go_ahead import list_overrides
from jobs.queries.job_page import JobPage, PackageRow, load_job_page
from jobs.queries.people import list_choices
from jobs.queries.photos import load_job_photos
from jobs.queries.plans import find_draft, find_issued
from jobs.queries.prices import load_job_cost
from jobs.queries.recipe_versions import load_recipe_state
from jobs.queries.snags import list_snags
from jobs.queries.stock import find_next_cut_off
from jobs.queries.takeoff import load_takeoff
from jobs.queries.variations import load_variations
from jobs.queries.worked_hours import load_worked
from jobs.web.access import office_only
from jobs.web.answers import carry_out, press
from jobs.web.forms.jobs import (
    HoursForm,
    LimitsForm,
    PersonChoiceForm,
    SnagForm,
    VisitForm,
    WaitForm,
    WorkedHoursForm,
)
from jobs.web.getters import get_job_or_404, get_of_job_or_404, get_own_or_404
from jobs.web.link_cards import link_card
from jobs.web.unchanged import Page, render_unchanged


@office_only
@require_GET
def job(request: HttpRequest, pk: int) -> HttpResponse:
    return render_unchanged(request, partial(_kept_page, request, pk))


def _kept_page(request: HttpRequest, pk: int) -> Page:
    """Shortages change with each cut-off of the day, the customer's link with its end."""
    owner, now = get_job_or_404(request, pk), timezone.now()
    context = _context(request, owner)
    link = context["customer_card"].link
    ends = (find_next_cut_off(owner.firm, now), link and link.expires_at)
    return Page("office/job.html", context, until=min(filter(None, ends), default=None))


@office_only
@require_POST
@vary_on_headers("HX-Request")
def correct_hours(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    """Keep the contractor's own figure; a fragment answers with the hours of the whole job."""
    package, form = get_of_job_or_404(request, WorkPackage, job_pk, pk, "area"), HoursForm(request.POST)
    done = carry_out(form, lambda: programme.correct_hours(package=package, **form.cleaned_data, by=request.user))
    if done and not request.htmx:
        return redirect(reverse("job", args=[job_pk]) + "#hours")
    wrong = {} if done else {"wrong_package": package, "wrong_hours": form}
    owner = get_job_or_404(request, job_pk)
    if request.htmx:
        loaded = load_job_page(owner, _shown_plan(request), timezone.now())
        page = {"page": loaded, "hours_rows": _hours_rows(loaded)} | NOTHING_WRONG | wrong
        return render(request, "office/_job_hours.html", page, status=200 if done else 422)
    return _job_page(request, owner, **wrong)


@office_only
@require_POST
def limit_package(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    package = get_of_job_or_404(request, WorkPackage, job_pk, pk, "area")
    form = LimitsForm(request.POST, package=package)
    if carry_out(form, lambda: programme.limit_package(package=package, **form.cleaned_data, by=request.user)):
        messages.success(request, "Kept. Plan again to see what it moves.")
        return redirect(reverse("job", args=[job_pk]) + "#hours")
    return _job_page(request, get_job_or_404(request, job_pk), wrong_package=package, wrong_limits=form)


@office_only
@require_POST
def choose_person(request: HttpRequest, pk: int) -> HttpResponse:
    owner = get_job_or_404(request, pk)
    form = PersonChoiceForm(request.POST, job=owner, auto_id="choice_%s")
    if carry_out(form, lambda: person_choices.choose_person(job=owner, **form.cleaned_data, by=request.user)):
        messages.success(request, "Kept. Plan again to see what it moves.")
        return redirect(reverse("job", args=[pk]) + "#people")
    return _job_page(request, owner, choice_form=form)


@office_only
@require_POST
def drop_choice(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    person_choices.drop_choice(choice=get_of_job_or_404(request, PersonChoice, job_pk, pk), by=request.user)
    messages.success(request, "Taken off. Plan again to see what it moves.")
    return redirect(reverse("job", args=[job_pk]) + "#people")


@office_only
@require_POST
def renew_programme(request: HttpRequest, pk: int) -> HttpResponse:
    job = get_job_or_404(request, pk)
    press(
        request, lambda: programme.take_off_again(job=job, by=request.user),
        lambda version: f"Taken off again with today’s recipes, {version} of the catalogue.",
    )
    return redirect("job", pk)


@office_only
@require_POST
def add_visit(request: HttpRequest, pk: int) -> HttpResponse:
    owner = get_job_or_404(request, pk)
    form = VisitForm(request.POST, job=owner)
    if carry_out(form, lambda: add_visit_to(job=owner, **form.cleaned_data, by=request.user)):
        return redirect(reverse("job", args=[pk]) + "#visits")
    return _job_page(request, owner, visit_form=form)


@office_only
@require_POST
def add_wait(request: HttpRequest, pk: int) -> HttpResponse:
    owner = get_job_or_404(request, pk)
    form = WaitForm(request.POST, job=owner)
    if carry_out(form, lambda: add_dependency(**form.cleaned_data, by=request.user)):
        return redirect(reverse("job", args=[pk]) + "#waits")
    return _job_page(request, owner, wait_form=form)


@office_only
@require_POST
def remove_wait(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    remove_dependency(dependency=get_of_job_or_404(request, Dependency, job_pk, pk), by=request.user)
    messages.success(request, "Taken off this job. Plan again to see what it moves.")
    return redirect(reverse("job", args=[job_pk]) + "#waits")


@office_only
@require_POST
def add_snag(request: HttpRequest, pk: int) -> HttpResponse:
    owner = get_job_or_404(request, pk)
    form = SnagForm(request.POST, job=owner)
    if carry_out(form, lambda: add_snag_to(**form.cleaned_data, by=request.user, at=timezone.now())):
        return redirect(reverse("job", args=[pk]) + "#snags")
    return _job_page(request, owner, snag_form=form)


@office_only
@require_POST
def correct_worked_hours(request: HttpRequest, pk: int) -> HttpResponse:
    owner = get_job_or_404(request, pk)
    form = WorkedHoursForm(request.POST, job=owner)
    if carry_out(form, lambda: put_hours_right(**form.cleaned_data, by=request.user, now=timezone.now())):
        return redirect(reverse("job", args=[pk]) + "#worked")
    return _job_page(request, owner, worked_form=form)


@office_only
@require_POST
def answer_variation(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    variation = get_own_or_404(request, Variation, pk, "room")
    answer = accept_variation if request.POST.get("answer") == "accept" else decline_variation
    press(
        request, lambda: answer(variation=variation, by=request.user, now=timezone.now()),
        lambda done: f"{done}: {done.get_state_display().lower()}.",
    )
    return redirect(reverse("job", args=[variation.room.job_id]) + "#variations")


NOTHING_WRONG = {"wrong_package": None, "wrong_hours": None, "wrong_limits": None}


def _hours_rows(
    page: JobPage, wrong_package: WorkPackage | None = None, wrong_limits: LimitsForm | None = None
) -> list[tuple[PackageRow, LimitsForm]]:
    """Each package with the form of its limits: the one just filled in wrongly as it was."""
    return [
        (row, wrong_limits if wrong_limits and row.package == wrong_package else LimitsForm(package=row.package))
        for row in page.packages
    ]


def _shown_plan(request: HttpRequest) -> Plan | None:
    """The draft while there is one, unless the issued plan is asked for."""
    draft, issued = find_draft(request.user.firm), find_issued(request.user.firm)
    return issued if issued and request.GET.get("plan") == "issued" else draft or issued


def _job_page(request: HttpRequest, owner: Job, **forms: BaseForm | WorkPackage) -> HttpResponse:
    """The page again, with what was filled in wrongly."""
    return render(request, "office/job.html", _context(request, owner, **forms), status=422)


def _context(request: HttpRequest, owner: Job, **forms: BaseForm | WorkPackage) -> dict[str, object]:
    loaded = load_job_page(owner, _shown_plan(request), timezone.now())
    return NOTHING_WRONG | {
        "page": loaded,
        "hours_rows": _hours_rows(loaded, forms.get("wrong_package"), forms.get("wrong_limits")),
        "job": owner,
        "issued": find_issued(owner.firm),
        "customer_card": link_card(request, SecretLink.Purpose.CUSTOMER_PAGE, owner, timezone.now()),
        "deadlines": load_job_deadlines(owner, timezone.now()),
        "takeoff": load_takeoff(owner),
        "recipes": load_recipe_state(owner),
        "cost": load_job_cost(owner, timezone.now()),
        "overrides": list_overrides(owner),
        "photo_groups": load_job_photos(owner),
        "snags": list_snags(owner),
        "variations": load_variations(owner),
        "snag_form": SnagForm(job=owner, auto_id="snag_%s"),
        "worked": load_worked(owner),
        "worked_form": WorkedHoursForm(job=owner, auto_id="worked_%s"),
        "stages": list(Stage),
        "next_states": [Job.State(state) for state in NEXT_STATES[Job.State(owner.state)]],
        "choices": list_choices(owner),
        "choice_form": PersonChoiceForm(job=owner, auto_id="choice_%s"),
        "visit_form": VisitForm(job=owner, auto_id="visit_%s"),
        "wait_form": WaitForm(job=owner, auto_id="wait_%s"),
    } | forms

"""The firm's catalogue in the office: what points take, how long work takes, what is checked, what waits for what."""

from collections.abc import Callable
from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.actions.catalogue import add_catalogue_row, edit_catalogue_row, remove_catalogue_row
from jobs.actions.permission import Refused
from jobs.models import Firm, FirmOwned, PointKind
from jobs.queries import catalogue as lists
from jobs.queries.recipe_versions import list_versions
from jobs.web.access import office_only
from jobs.web.forms import catalogue as forms
from jobs.web.getters import get_own_or_404

TAKEN_UP = "New take-offs use it; a job keeps its own until it is taken off again."


@dataclass(frozen=True)
class Section:
    """A part of the catalogue: its page, and the form of one of its rows."""

    slug: str
    name: str
    lead: str
    one: str
    form: type[forms.RowForm]
    groups: Callable[[Firm], list[lists.Group]] | None = None


SECTIONS = {
    section.slug: section
    for section in (
        Section(
            "points", "Points", "What each kind of point takes and how long it takes.",
            "a kind of point", forms.PointKindForm, lists.list_points,
        ),
        Section(
            "hours", "Other hours", "Hours of an electrician working alone, for rooms, circuits and the house.",
            "hours", forms.HoursForm, lists.list_hours,
        ),
        Section(
            "circuits", "Circuits",
            "The cable and device a circuit usually takes, and the runs that count until its length is measured.",
            "a kind of circuit", forms.CircuitRecipeForm, lists.list_circuits,
        ),
        Section(
            "checks", "Checklists",
            "What is ticked in a room at each stage. Hold points are recorded before cover-up or energising.",
            "a check", forms.CheckForm, lists.list_checks,
        ),
        Section(
            "visits", "Visits", "Visits of other trades that a rewire needs.",
            "a kind of visit", forms.VisitKindForm, lists.list_visits,
        ),
        Section(
            "waits", "Waits", "What must end or start before what.", "a wait", forms.WaitForm, lists.list_waits,
        ),
        Section(
            "drying", "Drying",
            "Calendar days until plaster is dry. Dry is pale and even with no dark patches, not a date alone.",
            "a plaster", forms.DryingForm, lists.list_drying,
        ),
        Section(
            "ranges", "Ranges", "Ranges of accessories a job can be fitted with.",
            "a range", forms.AccessoryRangeForm, lists.list_ranges,
        ),
        Section(
            "swaps", "Swaps",
            "What is taken in place of a recipe's material, where a range is chosen or drops are covered another way.",
            "a swap", forms.SwapForm, lists.list_swaps,
        ),
        Section("materials", "Materials", "", "a material of a point", forms.RecipeForm),
        Section("point-hours", "Hours", "", "hours of a point", forms.PointHoursForm),
    )
}
PAGES = [section for section in SECTIONS.values() if section.groups]


@office_only
@require_GET
def catalogue(request: HttpRequest, slug: str = "points") -> HttpResponse:
    section = _section_or_404(slug)
    if section.groups is None:
        raise Http404
    tables = [{"group": group, "section": section.slug} for group in section.groups(request.user.firm)]
    page = {"section": section, "pages": PAGES, "tables": tables, "is_one_table": len(tables) == 1}
    return render(request, "office/catalogue.html", page)


@office_only
@require_http_methods(["GET", "POST"])
def add_catalogue(request: HttpRequest, slug: str) -> HttpResponse:
    section = _section_or_404(slug)
    kind = _point_of(request)
    form = section.form(request.POST or None, firm=request.user.firm, initial={"point_kind": kind})
    if request.method == "POST" and form.is_valid():
        try:
            row = add_catalogue_row(
                firm=request.user.firm, model=section.form.Meta.model, details=form.cleaned_data, by=request.user
            )
        except Refused as refused:
            _add_error(form, refused)
        else:
            messages.success(request, f"Added. {TAKEN_UP}")
            return redirect(_back(section, row))
    page = {"section": section, "pages": PAGES, "form": form, "row": None, "tables": [], "back": _back(section, kind)}
    return render(request, "office/catalogue_row.html", page, status=422 if form.errors else 200)


@office_only
@require_http_methods(["GET", "POST"])
def catalogue_row(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    section = _section_or_404(slug)
    row, shown = _row_or_404(request, section, pk), _row_or_404(request, section, pk)
    form = forms.form_for(row, section.form)(request.POST or None, firm=request.user.firm, instance=shown)
    if request.method == "POST" and form.is_valid():
        try:
            edit_catalogue_row(row=row, details=form.cleaned_data, by=request.user)
        except Refused as refused:
            _add_error(form, refused)
        else:
            messages.success(request, f"Saved. {TAKEN_UP}")
            return redirect(_back(section, row))
    page = {
        "section": section, "pages": PAGES, "form": form, "row": row, "tables": _tables_of(row),
        "back": _back(section, row, leaves=True),
    }
    return render(request, "office/catalogue_row.html", page, status=422 if form.errors else 200)


@office_only
@require_POST
def remove_catalogue(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    section = _section_or_404(slug)
    row = _row_or_404(request, section, pk)
    back = _back(section, row, leaves=True)
    try:
        remove_catalogue_row(row=row, by=request.user)
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("catalogue_row", slug, pk)
    messages.success(request, f"Removed. {TAKEN_UP}")
    return redirect(back)


@office_only
@require_GET
def catalogue_history(request: HttpRequest) -> HttpResponse:
    page = {"section": {"slug": "history"}, "pages": PAGES, "versions": list_versions(request.user.firm)}
    return render(request, "office/catalogue_history.html", page)


def _section_or_404(slug: str) -> Section:
    if slug not in SECTIONS:
        raise Http404
    return SECTIONS[slug]


def _row_or_404(request: HttpRequest, section: Section, pk: int) -> FirmOwned:
    return get_own_or_404(request, section.form.Meta.model, pk)


def _point_of(request: HttpRequest) -> PointKind | None:
    """The point a new material or new hours are for, where the address names one."""
    pk = request.GET.get("point", "")
    return get_own_or_404(request, PointKind, int(pk)) if pk.isdecimal() and len(pk) < 10 else None


def _tables_of(row: FirmOwned) -> list[dict[str, object]]:
    if not isinstance(row, PointKind):
        return []
    return [
        {"group": group, "section": slug}
        for slug, groups in (("materials", lists.list_recipe(row)), ("point-hours", lists.list_point_hours(row)))
        for group in groups
    ]


def _back(section: Section, row: FirmOwned | None, *, leaves: bool = False) -> str:
    """Where a person came from: the point's own page for what belongs to a point, else the section's list."""
    if isinstance(row, PointKind) and not leaves:
        return reverse("catalogue_row", args=["points", row.pk])
    kind = getattr(row, "point_kind_id", None)
    if kind:
        return reverse("catalogue_row", args=["points", kind])
    return reverse("catalogue_section", args=[section.slug if section.groups else "points"])


def _add_error(form: forms.RowForm, refused: Refused) -> None:
    form.add_error(refused.field if refused.field in form.fields else None, refused.message)

"""Stores: what there is, what will be short, each item, each drum."""

from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from jobs.models import Plan
from jobs.queries.drums import list_drums, load_drum
from jobs.queries.orders import LineRow
from jobs.queries.plans import find_draft, find_issued
from jobs.queries.prices import load_price_book
from jobs.queries.stock import Stores, find_next_cut_off, load_stores, requirements_of
from jobs.queries.stores_page import draw_projection, item_row, list_item_rows, list_moves
from jobs.web.access import office_only
from jobs.web.forms.stores import FindForm
from jobs.web.getters import get_drum_or_404, get_item_or_404
from jobs.web.unchanged import Page, render_unchanged


def chosen_plan(request: HttpRequest) -> Plan | None:
    """The plan people were told; the draft when it is asked for, or when nothing was issued yet."""
    firm = request.user.firm
    if request.GET.get("plan") == "draft":
        return find_draft(firm) or find_issued(firm)
    return find_issued(firm) or find_draft(firm)


def stores_now(request: HttpRequest) -> Stores:
    return load_stores(request.user.firm, chosen_plan(request), timezone.now())


@office_only
@require_GET
@vary_on_headers("HX-Request")
def stores(request: HttpRequest) -> HttpResponse:
    return render_unchanged(request, partial(_stores_page, request))


def _stores_page(request: HttpRequest) -> Page:
    """Whether it is too late to order changes with each cut-off of the day."""
    form, now = FindForm(request.GET), timezone.now()
    found = form.cleaned_data if form.is_valid() else {}
    firm, plan = request.user.firm, chosen_plan(request)
    stock = load_stores(firm, plan, now)
    rows = list_item_rows(stock, found.get("q", ""), found.get("only", ""))
    page = {"rows": rows, "form": form, "stock": stock, "now": now, "is_filtered": any(found.values())}
    until = find_next_cut_off(firm, now)
    if request.htmx and request.htmx.target == "stock-table":
        return Page("office/_stores_table.html", page, until)
    short = [row for row in list_item_rows(stock, only="short") if row.first]
    other = find_draft(firm) if request.GET.get("plan") != "draft" else find_issued(firm)
    return Page("office/stores.html", page | {"short": short, "plan": plan, "other_plan": other}, until)


@office_only
@require_GET
def stores_item(request: HttpRequest, pk: int) -> HttpResponse:
    item, stock = get_item_or_404(request, pk), stores_now(request)
    row = item_row(stock, item)
    page = {
        "row": row, "item": item, "stock": stock, "now": timezone.now(),
        "curve": draw_projection(stock, row.projection),
        "needs": [(need, stock.needs.packages[need.key]) for need in requirements_of(stock, item)],
        "to_come": [line for line in stock.to_come if _is_of(stock, line, item.pk)],
        "drums": list_drums(stock.firm, items=[pk], balances=stock.balances, places=stock.places) if item.is_cable else [],
        "moves": list_moves(item=item),
        "price": load_price_book(stock.firm, [pk]).price_on(pk, stock.today),
        "other_packs": item.other_packs.all(),
    }
    return render(request, "office/stores_item.html", page)


def _is_of(stock: Stores, line: LineRow, item_pk: int) -> bool:
    return stock.swap_key(stock.items[line.line.item_id]) == stock.swap_key(stock.items[item_pk])


@office_only
@require_GET
def drum_list(request: HttpRequest) -> HttpResponse:
    with_empty = request.GET.get("show") == "all"
    rows = list_drums(request.user.firm, with_empty=with_empty)
    return render(request, "office/stores_drums.html", {"rows": rows, "with_empty": with_empty})


@office_only
@require_GET
def drum(request: HttpRequest, pk: int) -> HttpResponse:
    row = load_drum(get_drum_or_404(request, pk))
    return render(request, "office/stores_drum.html", {"row": row, "moves": list_moves(drum=row.drum)})

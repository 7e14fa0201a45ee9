"""Orders: what is on its way, what is late and who waits for it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.actions import orders as actions
from jobs.actions.permission import Refused
from jobs.core.netting import soonest_delivery
from jobs.models import Order, Supplier
from jobs.queries.orders import load_order, load_orders
from jobs.queries.stock import supply_of
from jobs.queries.stores_page import list_item_rows, list_suppliers, list_waiting
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.clock import today_of
from jobs.web.forms.stores import DeliveryForm, ExpectForm, OrderForm
from jobs.web.getters import get_order_or_404, get_supplier_or_404
from jobs.web.views.stores import stores_now


@office_only
@require_GET
def order_list(request: HttpRequest) -> HttpResponse:
    stock = stores_now(request)
    waiting = list_waiting(stock)
    orders = [(row, waiting.get(row.order.pk, [])) for row in load_orders(stock.firm, is_open=True)]
    page = {
        "orders": orders, "closed": load_orders(stock.firm, is_open=False), "today": stock.today,
        "proposals": _proposals(list_item_rows(stock)), "suppliers": list_suppliers(stock.firm),
    }
    return render(request, "office/stores_orders.html", page)


def _proposals(rows: list) -> list[tuple[Supplier | None, int]]:
    """How many items each supplier should be asked for; None for items nobody supplies."""
    counts: dict[Supplier | None, int] = {}
    for row in rows:
        if row.to_order:
            counts[row.item.supplier] = counts.get(row.item.supplier, 0) + 1
    return sorted(counts.items(), key=lambda entry: (entry[0] is None, str(entry[0])))


@office_only
@require_http_methods(["GET", "POST"])
def add_order(request: HttpRequest, supplier_pk: int) -> HttpResponse:
    supplier, stock = get_supplier_or_404(request, supplier_pk), stores_now(request)
    rows = [row for row in list_item_rows(stock) if row.item.supplier_id == supplier.pk]
    soonest = soonest_delivery(stock.local_now, supply_of(supplier, stock.firm), stock.calendar)
    form = OrderForm(request.POST or None, firm=stock.firm, rows=rows, today=stock.today, soonest_on=soonest)
    placed: list[Order] = []
    if carry_out(form, lambda: placed.append(_place(request, supplier, form))):
        messages.success(request, f"Order {placed[0]} is written down. Now send it to {supplier}.")
        return redirect("order", placed[0].pk)
    page = {"form": form, "supplier": supplier, "now": timezone.now()}
    return render(request, "office/stores_order_form.html", page, status=422 if form.errors else 200)


def _place(request: HttpRequest, supplier: Supplier, form: OrderForm) -> Order:
    fields = {key: form.cleaned_data[key] for key in ("op_id", "reference", "placed_on", "promised_on", "job")}
    return actions.place_order(supplier=supplier, lines=form.wanted(), by=request.user, **fields)


@office_only
@require_GET
def order(request: HttpRequest, pk: int) -> HttpResponse:
    return _order_page(request, get_order_or_404(request, pk))


def _order_page(
    request: HttpRequest, shown: Order, *, delivery: DeliveryForm | None = None, expect: ExpectForm | None = None
) -> HttpResponse:
    stock = stores_now(request)
    row = load_order(shown)
    page = {
        "order": shown, "row": row, "waiting": list_waiting(stock).get(shown.pk, []), "today": stock.today,
        "delivery": delivery or _delivery_form(request, shown), "expect": expect or ExpectForm(order=shown),
    }
    has_errors = any(form and form.errors for form in (delivery, expect))
    return render(request, "office/stores_order.html", page, status=422 if has_errors else 200)


def _delivery_form(request: HttpRequest, shown: Order, data: object = None) -> DeliveryForm:
    return DeliveryForm(data, firm=request.user.firm, lines=load_order(shown).lines)


@office_only
@require_POST
def receive_order(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_order_or_404(request, pk)
    form = _delivery_form(request, shown, request.POST)
    if carry_out(form, lambda: actions.receive_order(
        order=shown, arrived=form.arrived(), by=request.user, at=timezone.now(),
        **{key: form.cleaned_data[key] for key in ("op_id", "to", "even_if_over", "note")},
    )):
        messages.success(request, f"Received: order {shown}, into {form.cleaned_data['to']}.")
        return redirect("order", pk)
    return _order_page(request, shown, delivery=form)


@office_only
@require_POST
def expect_order(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_order_or_404(request, pk)
    form = ExpectForm(request.POST, order=shown)
    if carry_out(form, lambda: actions.expect_order(
        order=shown, expected_on=form.cleaned_data["expected_on"], today=today_of(request), by=request.user
    )):
        messages.success(request, "Saved. The next plan takes it from there.")
        return redirect("order", pk)
    return _order_page(request, shown, expect=form)


@office_only
@require_POST
def cancel_order(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_order_or_404(request, pk)
    try:
        actions.cancel_order(order=shown, by=request.user)
        messages.success(request, f"Order {shown} is cancelled. Tell the supplier.")
    except Refused as refused:
        messages.error(request, refused.message)
    return redirect("order", pk)

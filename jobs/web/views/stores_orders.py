"""Orders: what is on its way, what is late and who waits for it."""

from collections.abc import Callable, Collection

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.actions import orders as actions
from jobs.actions.late_orders import expect_and_plan
from jobs.actions.order_cancelling import BY_MAIL, BY_PHONE, LATER, cancel_and_tell, cancel_text, tell_supplier
from jobs.actions.order_mail import order_file, order_subject, order_text
from jobs.actions.order_mail import send_order as mail_order
from jobs.actions.permission import Refused
from jobs.core.figures import plain
from jobs.core.netting import soonest_delivery
from jobs.models import Order, PlanRun, Supplier
from jobs.queries.order_effects import load_effects
from jobs.queries.orders import load_order, load_orders, load_written
from jobs.queries.proposals import list_proposals
from jobs.queries.stock import Stores, supply_of
from jobs.queries.stores_page import ItemRow, list_item_rows, list_suppliers, list_waiting
from jobs.web.access import office_only
from jobs.web.answers import carry_out, press
from jobs.web.clock import parse_day, today_of
from jobs.web.forms.stores import DeliveryForm, ExpectForm, OrderedForm, OrderForm
from jobs.web.getters import get_order_or_404, get_supplier_or_404
from jobs.web.views.stores import stores_now

TOLD = {
    BY_MAIL: "The cancellation goes out by mail.", BY_PHONE: "The supplier was told by phone.",
    LATER: "The supplier has not been told yet.",
}

@office_only
@require_GET
def order_list(request: HttpRequest) -> HttpResponse:
    stock = stores_now(request)
    waiting, written = list_waiting(stock), load_written(stock.firm)
    on_written = {line.line.item_id for row in written for line in row.lines}
    orders = [(row, waiting.get(row.order.pk, [])) for row in load_orders(stock.firm, is_open=True)]
    page = {
        "orders": orders, "closed": load_orders(stock.firm, is_open=False), "today": stock.today,
        "written": written, "proposals": list_proposals(list_item_rows(stock), written=on_written),
        "suppliers": list_suppliers(stock.firm), "now": timezone.now(),
    }
    return render(request, "office/stores_orders.html", page)


@office_only
@require_http_methods(["GET", "POST"])
def add_order(request: HttpRequest, supplier_pk: int) -> HttpResponse:
    """A new order; `until` proposes no more than what is needed by that day."""
    supplier, stock = get_supplier_or_404(request, supplier_pk), stores_now(request)
    until = parse_day(request.GET.get("until"))
    soonest = soonest_delivery(stock.local_now, supply_of(supplier, stock.firm, stock.closed), stock.calendar)
    form = OrderForm(
        request.POST or None, firm=stock.firm, rows=_rows_of(stock, supplier), wanted_on=soonest, until=until
    )
    written: list[Order] = []
    if carry_out(form, lambda: written.append(actions.write_order(
        supplier=supplier, lines=form.wanted(), today=stock.today, by=request.user,
        **{key: form.cleaned_data[key] for key in ("op_id", "reference", "promised_on", "job", "note")},
    ))):
        return redirect("order", written[0].pk)
    return _form_page(request, form, supplier, until=until)


@office_only
@require_http_methods(["GET", "POST"])
def edit_order(request: HttpRequest, pk: int) -> HttpResponse:
    """Change an order before it goes out."""
    shown, stock = get_order_or_404(request, pk), stores_now(request)
    if shown.state != Order.State.WRITTEN:
        return redirect("order", pk)
    lines = {f"item-{line.item_id}": plain(line.quantity) for line in shown.lines.all()}
    rows = _rows_of(stock, shown.supplier, {line.item_id for line in shown.lines.all()})
    form = OrderForm(request.POST or None, firm=stock.firm, rows=rows, wanted_on=shown.promised_on)
    for row in rows:
        form.fields[f"item-{row.item.pk}"].initial = lines.get(f"item-{row.item.pk}")
    form.fields["job"].initial, form.fields["note"].initial = shown.job_id, shown.note
    del form.fields["reference"]
    if carry_out(form, lambda: actions.edit_order(
        order=shown, lines=form.wanted(), today=stock.today, by=request.user,
        **{key: form.cleaned_data[key] for key in ("promised_on", "job", "note")},
    )):
        return redirect("order", pk)
    return _form_page(request, form, shown.supplier, order=shown)


def _rows_of(stock: Stores, supplier: Supplier, others: Collection[int] = ()) -> list[ItemRow]:
    return [row for row in list_item_rows(stock) if row.item.supplier_id == supplier.pk or row.item.pk in others]


def _form_page(request: HttpRequest, form: OrderForm, supplier: Supplier, **more: object) -> HttpResponse:
    page = {"form": form, "supplier": supplier, "now": timezone.now(), "until": None, "order": None} | more
    return render(request, "office/stores_order_form.html", page, status=422 if form.errors else 200)


@office_only
@require_GET
def order(request: HttpRequest, pk: int) -> HttpResponse:
    return _order_page(request, get_order_or_404(request, pk))


def _order_page(
    request: HttpRequest, shown: Order, *, delivery: DeliveryForm | None = None, expect: ExpectForm | None = None,
    ordered: OrderedForm | None = None,
) -> HttpResponse:
    stock = stores_now(request)
    row, waiting = load_order(shown), list_waiting(stock).get(shown.pk, [])
    page = {
        "order": shown, "row": row, "waiting": waiting, "today": stock.today,
        "delivery": delivery or _delivery_form(request, shown), "expect": expect or ExpectForm(order=shown),
        "ordered": ordered or OrderedForm(today=stock.today), "effects": load_effects(stock.firm, waiting),
        "letter": order_text(row) if row.is_written else "", "subject": order_subject(shown),
        "cancel_letter": "" if row.is_written else cancel_text(row),
    }
    has_errors = any(form and form.errors for form in (delivery, expect, ordered))
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
    runs: list[PlanRun | None] = []
    if carry_out(form, lambda: runs.append(expect_and_plan(
        order=shown, expected_on=form.cleaned_data["expected_on"], today=today_of(request), by=request.user,
        now=timezone.now(),
    ))):
        messages.success(request, "Saved. " + (
            "A new draft is being made; this page then says what it moves." if runs[0]
            else "The next plan takes it from there."
        ))
        return redirect("order", pk)
    return _order_page(request, shown, expect=form)


@office_only
@require_POST
def cancel_order(request: HttpRequest, pk: int) -> HttpResponse:
    shown, how = get_order_or_404(request, pk), _how(request)
    words = f"Order {shown} is cancelled. {TOLD[how]}"
    return _done(
        request, pk, lambda: cancel_and_tell(order=shown, how=how, by=request.user, now=timezone.now()), words
    )


@office_only
@require_POST
def tell_cancelled(request: HttpRequest, pk: int) -> HttpResponse:
    """The supplier of a cancelled order is told after all."""
    shown, how = get_order_or_404(request, pk), _how(request)
    return _done(
        request, pk, lambda: tell_supplier(order=shown, how=how, by=request.user, now=timezone.now()), TOLD[how]
    )


def _how(request: HttpRequest) -> str:
    how = request.POST.get("how")
    return how if how in TOLD else LATER


@office_only
@require_GET
def order_effects(request: HttpRequest, pk: int) -> HttpResponse:
    """What the draft moves, asked for again while it is being made."""
    shown, stock = get_order_or_404(request, pk), stores_now(request)
    effects = load_effects(stock.firm, list_waiting(stock).get(shown.pk, []))
    return render(request, "office/_stores_effects.html", {"order": shown, "effects": effects})


@office_only
@require_POST
def send_order(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_order_or_404(request, pk)
    words = f"Order {shown} goes out by mail to {shown.supplier.email}."
    return _done(request, pk, lambda: mail_order(order=shown, by=request.user, now=timezone.now()), words)


@office_only
@require_POST
def mark_ordered(request: HttpRequest, pk: int) -> HttpResponse:
    shown, today = get_order_or_404(request, pk), today_of(request)
    form = OrderedForm(request.POST, today=today)
    if carry_out(form, lambda: actions.mark_ordered(
        order=shown, placed_on=form.cleaned_data["placed_on"], today=today, by=request.user
    )):
        messages.success(request, f"Order {shown} is counted on from now.")
        return redirect("order", pk)
    return _order_page(request, shown, ordered=form)


@office_only
@require_POST
def drop_order(request: HttpRequest, pk: int) -> HttpResponse:
    shown = get_order_or_404(request, pk)
    words = "The order is thrown away. It never went out."
    if press(request, lambda: actions.drop_order(order=shown, by=request.user), words):
        return redirect("order_list")
    return redirect("order", pk)


@office_only
@require_GET
def order_table(request: HttpRequest, pk: int) -> HttpResponse:
    """The table that goes with the mail."""
    shown = get_order_or_404(request, pk)
    response = HttpResponse(order_file(load_order(shown)), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="order-{shown.pk}.csv"'
    return response


def _done(request: HttpRequest, pk: int, action: Callable[[], object], words: str) -> HttpResponse:
    try:
        action()
        messages.success(request, words)
    except Refused as refused:
        messages.error(request, refused.message)
    return redirect("order", pk)

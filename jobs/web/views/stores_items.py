"""Items and suppliers as the firm keeps them."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from jobs.actions import items as actions
from jobs.actions import prices
from jobs.models import Item, Supplier, SupplierClosure
from jobs.queries.prices import list_prices
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.clock import today_of
from jobs.web.forms.stores import ItemForm, SupplierForm
from jobs.web.forms.supply import ClosureForm, PriceForm
from jobs.web.getters import get_item_or_404, get_own_or_404, get_supplier_or_404


@office_only
@require_http_methods(["GET", "POST"])
def add_item(request: HttpRequest) -> HttpResponse:
    firm = request.user.firm
    form = ItemForm(request.POST or None, firm=firm)
    added: list[Item] = []
    if carry_out(form, lambda: added.append(actions.add_item(firm=firm, details=form.cleaned_data, by=request.user))):
        return redirect("stores_item", added[0].pk)
    return _page(request, form, "Add an item", "stores")


@office_only
@require_http_methods(["GET", "POST"])
def edit_item(request: HttpRequest, pk: int) -> HttpResponse:
    item = get_item_or_404(request, pk)
    form = ItemForm(request.POST or None, instance=get_item_or_404(request, pk), firm=request.user.firm)
    if carry_out(form, lambda: actions.edit_item(item=item, details=form.cleaned_data, by=request.user)):
        messages.success(request, "Saved.")
        return redirect("stores_item", pk)
    return _page(request, form, f"Edit {item}", "stores_item", pk)


@office_only
@require_http_methods(["GET", "POST"])
def add_price(request: HttpRequest, pk: int) -> HttpResponse:
    item = get_item_or_404(request, pk)
    form = PriceForm(request.POST or None, item=item, today=today_of(request))
    if carry_out(form, lambda: prices.add_price(item=item, **form.price(), by=request.user, at=timezone.now())):
        messages.success(request, "The price is kept. Earlier ones stay for the days before it.")
        return redirect("stores_item", pk)
    page = {"form": form, "item": item, "prices": list_prices(item)}
    return render(request, "office/stores_price.html", page, status=422 if form.errors else 200)


@office_only
@require_http_methods(["GET", "POST"])
def add_supplier(request: HttpRequest) -> HttpResponse:
    form = SupplierForm(request.POST or None)
    if carry_out(form, lambda: actions.add_supplier(
        firm=request.user.firm, details=form.cleaned_data, by=request.user
    )):
        messages.success(request, "Added. Choose it on the items you buy there.")
        return redirect("order_list")
    return _page(request, form, "Add a supplier", "order_list")


@office_only
@require_http_methods(["GET", "POST"])
def edit_supplier(request: HttpRequest, pk: int) -> HttpResponse:
    supplier = get_supplier_or_404(request, pk)
    form = SupplierForm(request.POST or None, instance=get_supplier_or_404(request, pk))
    if carry_out(form, lambda: actions.edit_supplier(supplier=supplier, details=form.cleaned_data, by=request.user)):
        messages.success(request, "Saved.")
        return redirect("order_list")
    return _supplier_page(request, supplier, form, ClosureForm())


def _supplier_page(request: HttpRequest, supplier: Supplier, form: SupplierForm, closure: ClosureForm) -> HttpResponse:
    page = {
        "form": form, "supplier": supplier, "closure": closure,
        "closures": supplier.closures.filter(last_on__gte=today_of(request)),
    }
    return render(request, "office/stores_supplier.html", page, status=422 if form.errors or closure.errors else 200)


@office_only
@require_POST
def add_closure(request: HttpRequest, pk: int) -> HttpResponse:
    supplier, form = get_supplier_or_404(request, pk), ClosureForm(request.POST)
    if carry_out(form, lambda: actions.close_supplier(supplier=supplier, **form.cleaned_data, by=request.user)):
        messages.success(request, f"Kept: {supplier} is closed then. Latest moments to order follow.")
        return redirect("edit_supplier", pk)
    return _supplier_page(request, supplier, SupplierForm(instance=supplier), form)


@office_only
@require_POST
def remove_closure(request: HttpRequest, pk: int) -> HttpResponse:
    closure = get_own_or_404(request, SupplierClosure, pk)
    supplier_pk = closure.supplier_id
    actions.open_supplier(closure=closure, by=request.user)
    return redirect("edit_supplier", supplier_pk)


def _page(request: HttpRequest, form: ItemForm | SupplierForm, title: str, back: str, pk: int | None = None) -> HttpResponse:
    page = {"form": form, "title": title, "back": back, "pk": pk}
    return render(request, "office/stores_form.html", page, status=422 if form.errors else 200)

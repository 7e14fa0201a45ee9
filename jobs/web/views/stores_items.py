"""Items and suppliers as the firm keeps them."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from jobs.actions import items as actions
from jobs.models import Item
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.forms.stores import ItemForm, SupplierForm
from jobs.web.getters import get_item_or_404, get_supplier_or_404


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
    return _page(request, form, f"Edit {supplier}", "order_list")


def _page(request: HttpRequest, form: ItemForm | SupplierForm, title: str, back: str, pk: int | None = None) -> HttpResponse:
    page = {"form": form, "title": title, "back": back, "pk": pk}
    return render(request, "office/stores_form.html", page, status=422 if form.errors else 200)

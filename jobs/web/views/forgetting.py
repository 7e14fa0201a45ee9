"""Forgetting a customer."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from jobs.actions.forgetting import forget_customer
from jobs.actions.permission import Refused
from jobs.queries.forgetting import count_kept
from jobs.web.access import office_only
from jobs.web.getters import get_customer_or_404


@office_only
@require_http_methods(["GET", "POST"])
def forget(request: HttpRequest, pk: int) -> HttpResponse:
    customer = get_customer_or_404(request, pk)
    refused = ""
    if request.method == "POST":
        try:
            forget_customer(customer=customer, by=request.user)
        except Refused as refusal:
            refused = refusal.message
        else:
            messages.success(request, "Forgotten. Backups made until now still hold it until the last of them is let go.")
            return redirect("contact_list")
    context = {"customer": customer, "counted": count_kept(customer), "refused": refused}
    return render(request, "office/trades_forget.html", context, status=409 if refused else 200)

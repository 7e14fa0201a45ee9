"""Permission-checked lookups: a row of another firm is not found. Views look nothing up in any other way."""

from typing import TypeVar

from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from jobs.models import Contact, FirmOwned, Item, Job, Person, Room

Row = TypeVar("Row", bound=FirmOwned)


def get_own_or_404(request: HttpRequest, model: type[Row], pk: int, *related: str) -> Row:
    """The row `pk` of the signed-in person's firm, with `related` rows fetched in the same query."""
    return get_object_or_404(model.objects.select_related(*related), pk=pk, firm_id=request.user.firm_id)


def get_job_or_404(request: HttpRequest, pk: int) -> Job:
    return get_own_or_404(request, Job, pk, "customer")


def get_room_or_404(request: HttpRequest, pk: int) -> Room:
    return get_own_or_404(request, Room, pk, "job", "area")


def get_person_or_404(request: HttpRequest, pk: int) -> Person:
    return get_own_or_404(request, Person, pk)


def get_contact_or_404(request: HttpRequest, pk: int) -> Contact:
    return get_own_or_404(request, Contact, pk)


def get_item_or_404(request: HttpRequest, pk: int) -> Item:
    return get_own_or_404(request, Item, pk)

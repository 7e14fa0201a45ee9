"""Permission-checked lookups: a row of another firm is not found. Views look nothing up in any other way."""

from datetime import datetime
from typing import TypeVar

from django.http import Http404, HttpRequest
from django.shortcuts import get_object_or_404

from jobs.core.stages import Trade
from jobs.models import (
    Contact,
    Drum,
    Firm,
    FirmArchive,
    FirmOwned,
    HandoverPdf,
    Item,
    Job,
    Location,
    Order,
    OutboxEntry,
    Person,
    Photo,
    Room,
    SecretLink,
    Supplier,
    ToldDate,
    Variation,
    Visit,
)
from jobs.queries.balances import OWN_KINDS
from jobs.queries.handover_record import BEFORE_COVER_UP
from jobs.queries.health import list_given_up
from jobs.queries.links import find_feed, find_link
from rewire.named_firm import name_firm

Row = TypeVar("Row", bound=FirmOwned)


def get_own_or_404(request: HttpRequest, model: type[Row], pk: int, *related: str) -> Row:
    """The row `pk` of the signed-in person's firm, with `related` rows fetched in the same query."""
    return get_object_or_404(model.objects.select_related(*related), pk=pk, firm_id=request.user.firm_id)


def get_own_firm(request: HttpRequest) -> Firm:
    """The signed-in person's firm as it is stored, apart from the copy the page head reads."""
    return Firm.objects.get(pk=request.user.firm_id)


def get_given_up_or_404(request: HttpRequest, pk: int) -> OutboxEntry:
    return get_object_or_404(list_given_up(request.user.firm), pk=pk)


def get_current_archive_or_404(request: HttpRequest, pk: int, *, now: datetime) -> FirmArchive:
    """One that is made and has not expired."""
    return get_object_or_404(FirmArchive, pk=pk, firm_id=request.user.firm_id, expires_at__gt=now)


def get_job_or_404(request: HttpRequest, pk: int) -> Job:
    return get_own_or_404(request, Job, pk, "customer")


def get_of_job_or_404(request: HttpRequest, model: type[Row], job_pk: int, pk: int, *related: str) -> Row:
    """The row `pk` of a job of the signed-in person's firm, with the job and `related` rows."""
    rows = model.objects.select_related("job", *related)
    return get_object_or_404(rows, pk=pk, job_id=job_pk, firm_id=request.user.firm_id)


def get_room_or_404(request: HttpRequest, pk: int) -> Room:
    return get_own_or_404(request, Room, pk, "job", "area")


def get_person_or_404(request: HttpRequest, pk: int) -> Person:
    return get_own_or_404(request, Person, pk)


def get_contact_or_404(request: HttpRequest, pk: int) -> Contact:
    return get_own_or_404(request, Contact, pk)


def get_customer_or_404(request: HttpRequest, pk: int) -> Contact:
    return get_object_or_404(Contact, pk=pk, trade=Trade.CUSTOMER, firm_id=request.user.firm_id)


def get_item_or_404(request: HttpRequest, pk: int) -> Item:
    return get_own_or_404(request, Item, pk, "supplier", "stands_in_for")


def get_drum_or_404(request: HttpRequest, pk: int) -> Drum:
    return get_own_or_404(request, Drum, pk, "item", "firm")


def get_labelled_drum_or_404(request: HttpRequest, label: str) -> Drum:
    return get_object_or_404(Drum.objects.select_related("item", "firm"), firm_id=request.user.firm_id, label=label)


def get_thing_or_404(request: HttpRequest, name: str) -> Item | Drum:
    """What `item-12` or `drum-3` names."""
    kind, _, pk = name.partition("-")
    if kind not in {"item", "drum"} or not (pk.isascii() and pk.isdigit() and len(pk) < 19):
        raise Http404
    return get_item_or_404(request, int(pk)) if kind == "item" else get_drum_or_404(request, int(pk))


def get_place_or_404(request: HttpRequest, pk: int) -> Location:
    """One of the firm's own places for stock."""
    return get_object_or_404(Location, pk=pk, firm_id=request.user.firm_id, kind__in=OWN_KINDS)


def get_order_or_404(request: HttpRequest, pk: int) -> Order:
    return get_own_or_404(request, Order, pk, "supplier", "job", "firm")


def get_supplier_or_404(request: HttpRequest, pk: int) -> Supplier:
    return get_own_or_404(request, Supplier, pk)


def get_visit_or_404(request: HttpRequest, pk: int) -> Visit:
    return get_own_or_404(request, Visit, pk, "firm", "kind", "area", "job", "contact")


def get_link_or_404(token: str, *purposes: str, now: datetime) -> SecretLink:
    """The working link a token opens; the token itself is the permission."""
    return _opened(find_link(token, *purposes, now=now))


def get_feed_or_404(token: str, now: datetime) -> SecretLink:
    """The calendar a token opens; the token itself is the permission."""
    return _opened(find_feed(token, now))


def _opened(link: SecretLink | None) -> SecretLink:
    """From here on the request is its firm's."""
    if link is None:
        raise Http404
    name_firm(link.firm_id)
    return link


def get_customer_variation_or_404(link: SecretLink, pk: int) -> Variation:
    """Something found in the house of the link's job."""
    rows = Variation.objects.select_related("room", "kind")
    return get_object_or_404(rows, pk=pk, firm_id=link.firm_id, room__job_id=link.job_id)


def get_customer_photo_or_404(link: SecretLink, pk: int) -> Photo:
    """A photo of the link's job that the office chose to show."""
    return get_object_or_404(Photo, pk=pk, firm_id=link.firm_id, room__job_id=link.job_id, is_for_customer=True)


def get_made_pdf_or_404(request: HttpRequest, job_pk: int, pk: int) -> HandoverPdf:
    """A printed handover pack of the firm's job."""
    rows = HandoverPdf.objects.exclude(made_at=None)
    return get_object_or_404(rows, pk=pk, job_id=job_pk, firm_id=request.user.firm_id)


def get_shown_job_or_404(link: SecretLink) -> Job:
    """The link's job, if the office shows its handover pack to the customer."""
    rows = Job.objects.select_related("firm", "customer")
    return get_object_or_404(rows, pk=link.job_id, firm_id=link.firm_id, handover__is_shown_to_customer=True)


def get_pack_photo_or_404(job: Job, pk: int) -> Photo:
    """A photo that is in the job's handover pack."""
    return get_object_or_404(Photo, pk=pk, firm_id=job.firm_id, room__job_id=job.pk, stage__in=BEFORE_COVER_UP)


def get_told_or_404(link: SecretLink, pk: int) -> ToldDate:
    """A date that the link's contact was told."""
    told = ToldDate.objects.select_related("notice", "visit")
    return get_object_or_404(told, pk=pk, firm_id=link.firm_id, notice__contact_id=link.contact_id)

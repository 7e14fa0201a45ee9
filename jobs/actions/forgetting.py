"""Forgetting a customer who asks for it, once the work is over."""

from functools import partial

from django.db import transaction

from jobs.actions.permission import Refused, require_office
from jobs.core.stages import Trade
from jobs.models import (
    CalendarEntry,
    Contact,
    DayMessage,
    Firm,
    Handover,
    HandoverPdf,
    Job,
    Notice,
    Room,
    SecretLink,
    Snag,
    SurveyUpload,
    User,
)
from jobs.queries.forgetting import (
    find_calendar_entries,
    find_day_messages,
    find_notices,
    find_photos,
    find_trail,
    list_jobs_under_way,
)


@transaction.atomic
def forget_customer(*, customer: Contact, by: User) -> None:
    """Delete who the customer is and where they live; the work, its hours, materials and test results stay, unnamed.

    The firm may have to keep records of the work itself; what may go is for the firm to judge.
    """
    require_office(by, customer)
    if customer.trade != Trade.CUSTOMER:
        raise Refused(f"{customer.name} is not a customer.")
    under_way = list_jobs_under_way(customer)
    if under_way:
        raise Refused(f"{under_way[0].name} is not handed over yet. Hand it over or drop it first.")
    _forget_words(customer)
    _forget_photos(customer)
    for job in customer.jobs.all():
        _forget_packs(job)
        _forget_house(job)
    customer.jobs.update(customer=None)
    customer.delete()


def _forget_words(customer: Contact) -> None:
    Notice.objects.filter(pk__in=[notice.pk for notice in find_notices(customer)]).delete()
    DayMessage.objects.filter(pk__in=[message.pk for message in find_day_messages(customer)]).delete()
    CalendarEntry.objects.filter(pk__in=find_calendar_entries(customer)).delete()
    _forget_trail(customer)
    SecretLink.objects.filter(job__customer=customer).delete()
    SurveyUpload.objects.filter(job__customer=customer).delete()


def _forget_trail(customer: Contact) -> None:
    """The database lets entries of the trail go only while their firm says so; no other transaction ever sees it say so."""
    firm = Firm.objects.filter(pk=customer.firm_id)
    firm.update(is_forgetting=True)
    find_trail(customer).delete()
    firm.update(is_forgetting=False)


def _forget_photos(customer: Contact) -> None:
    Snag.objects.filter(photo__in=find_photos(customer)).update(photo=None)
    for photo in find_photos(customer):
        for file in (photo.image, photo.thumbnail):
            if file:
                transaction.on_commit(partial(file.storage.delete, file.name), robust=True)
        photo.delete()


def _forget_packs(job: Job) -> None:
    """Packs name the customer and show the house, on paper too."""
    for pdf in HandoverPdf.objects.filter(job=job):
        if pdf.file:
            transaction.on_commit(partial(pdf.file.storage.delete, pdf.file.name), robust=True)
        pdf.delete()
    Handover.objects.filter(job=job).delete()


def _forget_house(job: Job) -> None:
    Room.objects.filter(job=job).update(notes="")
    job.name, job.address, job.postcode, job.access_notes = f"Job {job.pk}", "", "", ""
    job.save(update_fields=["name", "address", "postcode", "access_notes"])

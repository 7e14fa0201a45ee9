"""What the firm holds about a customer, and whether it may be forgotten yet."""

from dataclasses import dataclass

from django.db.models import Q, QuerySet

from jobs.models import CalendarEntry, Contact, DayMessage, Job, Notice, Photo, TrailEntry


@dataclass(frozen=True)
class Counted:
    """What forgetting would take, for the page that asks."""

    jobs: list[Job]
    photos: int
    notices: int
    trail: int


ENDED = (Job.State.HANDED_OVER, Job.State.DROPPED)


def list_jobs_under_way(customer: Contact) -> list[Job]:
    return list(customer.jobs.exclude(state__in=ENDED))


def find_photos(customer: Contact) -> QuerySet[Photo]:
    return Photo.objects.filter(firm_id=customer.firm_id, room__job__customer=customer)


def find_trail(customer: Contact) -> QuerySet[TrailEntry]:
    """What was entered in forms about the customer or the jobs."""
    about = Q(job_pk__in=list(customer.jobs.values_list("pk", flat=True))) | Q(address__startswith=f"/trades/{customer.pk}/")
    return TrailEntry.objects.filter(about, firm_id=customer.firm_id)


def find_calendar_entries(customer: Contact) -> QuerySet[CalendarEntry]:
    return CalendarEntry.objects.filter(firm_id=customer.firm_id, job__customer=customer)


def find_notices(customer: Contact) -> list[Notice]:
    """Messages, to whomever, that name one of the customer's jobs or their addresses."""
    words, notices = _words_of(customer), Notice.objects.filter(firm_id=customer.firm_id)
    return [row for row in notices if any(word in f"{row.subject} {row.lines} {row.days}" for word in words)]


def find_day_messages(customer: Contact) -> list[DayMessage]:
    """Mornings and evenings that name one of the customer's jobs or their addresses, however they are written."""
    words = {word.casefold() for word in _words_of(customer)}
    messages = DayMessage.objects.filter(firm_id=customer.firm_id)
    return [row for row in messages if any(word in f"{row.subject} {row.text}".casefold() for word in words)]


def _words_of(customer: Contact) -> set[str]:
    jobs = customer.jobs.all()
    return {text for job in jobs for text in (job.name, job.postcode, *job.address.splitlines()) if len(text.strip()) > 3}


def count_kept(customer: Contact) -> Counted:
    return Counted(
        jobs=list(customer.jobs.all()),
        photos=find_photos(customer).count(),
        notices=len(find_notices(customer)) + len(find_day_messages(customer)),
        trail=find_trail(customer).count(),
    )

"""What a customer answers on their page, and what the office lets them see there."""

from collections.abc import Collection
from datetime import datetime

from django.db import transaction

from jobs.actions.links import is_working
from jobs.actions.permission import Refused, require_office
from jobs.models import Job, Photo, SecretLink, User, Variation, VariationAnswer


@transaction.atomic
def answer_as_customer(*, variation: Variation, link: SecretLink, is_agreed: bool, now: datetime) -> VariationAnswer:
    """Keep what the customer says. Nothing enters the survey by it: the office still accepts or declines."""
    held = Variation.objects.select_for_update(of=("self",)).select_related("room").get(pk=variation.pk)
    link = SecretLink.objects.get(pk=link.pk)
    if link.purpose != SecretLink.Purpose.CUSTOMER_PAGE or link.job_id != held.room.job_id or not is_working(link, now):
        raise Refused("This is not for this page to answer. Ask us for the new address.")
    if held.state != Variation.State.WAITING:
        raise Refused("This is settled already. Ring us if it should be otherwise.")
    last = held.customer_answers.last()
    if last and last.is_agreed == is_agreed:
        return last
    return VariationAnswer.objects.create(
        firm_id=held.firm_id, variation=held, link=link, is_agreed=is_agreed, made_at=now
    )


@transaction.atomic
def choose_photos(*, job: Job, photos: Collection[int], by: User) -> int:
    """Show the customer these photos of the job, by number, and no others; how many they see."""
    require_office(by, job)
    of_job = Photo.objects.filter(room__job=job)
    of_job.exclude(pk__in=photos).filter(is_for_customer=True).update(is_for_customer=False)
    of_job.filter(pk__in=photos).update(is_for_customer=True)
    return of_job.filter(is_for_customer=True).count()

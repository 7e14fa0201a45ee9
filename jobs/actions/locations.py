"""Places where stock lies: the firm's own, a van for each person, a site and the fitted stock of each job."""

from django.db import transaction

from jobs.models import Firm, Job, Location, Person

Kind = Location.Kind
FIRM_PLACES = {
    Kind.UNIT: "Unit",
    Kind.SUPPLIER: "Suppliers",
    Kind.WASTE: "Waste",
    Kind.COUNT: "Counting differences",
}
"""One of each for every firm."""


@transaction.atomic
def ensure_locations(*, firm: Firm) -> None:
    """Make the places that are missing, and name vans and sites after their person and job."""
    for kind in FIRM_PLACES:
        firm_place(firm, kind)
    for person in Person.objects.filter(firm=firm, is_active=True):
        van_of(person)
    for job in Job.objects.filter(firm=firm):
        ensure_job_places(job)


def ensure_job_places(job: Job) -> None:
    job_place(job, Kind.SITE)
    job_place(job, Kind.FITTED)


def firm_place(firm: Firm, kind: str) -> Location:
    """The firm's unit, supplier, waste or counting place."""
    found = Location.objects.filter(firm=firm, kind=kind).order_by("pk").first()
    return found or Location.objects.get_or_create(firm=firm, kind=kind, name=FIRM_PLACES[kind])[0]


def van_of(person: Person) -> Location:
    """A person's van; one left by somebody of the same name is theirs."""
    name = f"{person.name}’s van"
    found = Location.objects.filter(firm_id=person.firm_id, kind=Kind.VAN, person=person).order_by("pk").first()
    if found is None:
        found, _ = Location.objects.get_or_create(
            firm_id=person.firm_id, kind=Kind.VAN, name=name, defaults={"person": person}
        )
    if (found.name, found.person_id) != (name, person.pk):
        found.name, found.person = name, person
        found.save(update_fields=["name", "person"])
    return found


def job_place(job: Job, kind: str) -> Location:
    """What lies on a job's site, or what is fitted in its house."""
    found, _ = Location.objects.get_or_create(firm_id=job.firm_id, kind=kind, job=job, defaults={"name": job.name})
    if found.name != job.name:
        found.name = job.name
        found.save(update_fields=["name"])
    return found

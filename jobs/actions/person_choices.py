"""Who is wanted on a job, and who is kept off it."""

from jobs.actions.permission import Refused, require_office
from jobs.models import Job, Person, PersonChoice, User


def choose_person(*, job: Job, person: Person, is_excluded: bool, by: User) -> PersonChoice:
    """Prefer a person on a job, or keep them off it; a choice made before about the two is replaced."""
    require_office(by, job, person)
    if not person.is_active:
        raise Refused(f"{person} no longer works here, so there is nothing to choose.", field="person")
    choice, _ = PersonChoice.objects.update_or_create(
        job=job, person=person, defaults={"firm_id": job.firm_id, "is_excluded": is_excluded}
    )
    return choice


def drop_choice(*, choice: PersonChoice, by: User) -> None:
    require_office(by, choice)
    choice.delete()

"""One small house, surveyed and booked, with two people and a plasterer: what each story starts from."""

from dataclasses import dataclass
from datetime import time
from pathlib import Path

from django.conf import settings
from django.utils import timezone

from jobs import outbox
from jobs.actions.jobs import move_job
from jobs.actions.people import add_person
from jobs.actions.stock import ensure_locations
from jobs.actions.survey_import import import_survey
from jobs.actions.visits import assign_visit
from jobs.core import stages
from jobs.core.survey_file import PointOption, read_survey
from jobs.models import Contact, Grade, Job, Person, PointKind, User, Visit
from tests.factories import make_contact, make_firm, make_job, make_office

SURVEY = Path(settings.BASE_DIR) / "fixtures" / "demo" / "tanners-row.csv"


@dataclass(frozen=True)
class Story:
    office: User
    electrician: Person
    plasterer: Contact
    job: Job


def make_story() -> Story:
    firm = make_firm(with_catalogue=True, quiet_from=time(0), quiet_until=time(0), has_quiet_days=False)
    office, job = make_office(firm, "nell"), make_job(firm, "Weir Cottage")
    electrician = _person(office, "Ifan Brooke", may_test=True)
    _person(office, "Sorrel Dace")
    ensure_locations(firm=firm)
    _survey(job, office)
    plasterer = make_contact(firm, stages.Trade.PLASTERER, "Ottoline Finch")
    for visit in Visit.objects.filter(job=job, kind__trade=plasterer.trade):
        assign_visit(visit=visit, contact=plasterer, not_before_on=None, by=office)
    return Story(office, electrician, plasterer, job)


def let_the_planner_work() -> None:
    """What the runner beside the server does: everything that is due."""
    outbox.run_due()


def _person(office: User, name: str, **more: object) -> Person:
    details = {"name": name, "grade": Grade.ELECTRICIAN} | more
    return add_person(firm=office.firm, details=details, by=office, now=timezone.now())


def _survey(job: Job, office: User) -> None:
    kinds = PointKind.objects.filter(firm=job.firm).values_list("code", "name", "circuit_kind")
    reading = read_survey(SURVEY.read_bytes(), point_kinds=[PointOption(*kind) for kind in kinds])
    import_survey(job=job, draft=reading.draft, by=office)
    # What other trades and the operator need weeks of notice for is not part of this story.
    Visit.objects.filter(job=job).exclude(kind__trade=stages.Trade.PLASTERER).update(state=Visit.State.CANCELLED)
    move_job(job=job, state=Job.State.BOOKED, by=office)

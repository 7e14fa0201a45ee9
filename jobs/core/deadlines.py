"""Dates that the law or somebody outside sets for a job: what must be asked for, told or handed over by when.

England's rules for domestic electrical work. Everywhere else, and wherever a local authority or a registration body
asks for something else, that decides: no date is worked out, only a reminder to look it up.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from jobs.core.stages import Worded
from jobs.core.workdays import Calendar

ENGLAND = "ENG"
CAUTION = "Check your local rules and the words in force today: the authority, your scheme and the network operator decide."


class Route(Worded):
    """How building control hears of the work."""

    SCHEME = "scheme", "Competent-person scheme: we certify and notify"
    NOTICE = "notice", "Building notice to the local authority"
    LOCAL = "local", "Other: local rules decide"


class Kind(Worded):
    """What has to be asked for, told or handed over."""

    OPERATOR_REQUEST = "operator_request", "Ask the network operator for the isolator visit"
    ASBESTOS_NOTICE = "asbestos_notice", "Licensed asbestos work: notice to the enforcing authority"
    BUILDING_NOTICE = "building_notice", "Building notice: tell the authority of the start"
    COMPLETION_NOTICE = "completion_notice", "Building notice: tell the authority of completion"
    CERTIFICATE = "certificate", "Certificate to the occupier, and notification"
    LOCAL_RULES = "local_rules", "Ask what must be notified here, and by when"


@dataclass(frozen=True)
class Rule:
    """A deadline's figure in words, where it comes from, and how sure that is."""

    words: str
    source: str
    mark: str


RULES = {
    Kind.OPERATOR_REQUEST: Rule(
        "As many days ahead as the catalogue says for the visit: usually 4 weeks, often 2 to 6.",
        "common practice, no source",
        "No figure is published: ask the operator.",
    ),
    Kind.ASBESTOS_NOTICE: Rule(
        "14 days before the licensed work starts; the licensed firm gives it.",
        "Control of Asbestos Regulations 2012, regulation 9 and schedule 1, from memory",
        "Confirmed in a trade article only.",
    ),
    Kind.BUILDING_NOTICE: Rule(
        "At least 2 clear days between the notice and the start.",
        "Building Regulations 2010, regulation 16",
        "Read in the regulation. Saturdays, Sundays and bank holidays are not counted here, which is the safe way.",
    ),
    Kind.COMPLETION_NOTICE: Rule(
        "Not more than 5 days after completion.",
        "Building Regulations 2010, regulation 16, as told by a local authority",
        "Read on a local authority's page.",
    ),
    Kind.CERTIFICATE: Rule(
        "Not more than 30 days after completion.",
        "Building Regulations 2010, regulation 20",
        "Read in an excerpt of the regulation.",
    ),
    Kind.LOCAL_RULES: Rule(
        "Before the start.",
        "common practice, no source",
        "The dates above are England's. Scotland, Wales and Northern Ireland have rules of their own.",
    ),
}

OPERATOR_LEAD_DAYS = 28
ASBESTOS_NOTICE = timedelta(days=14)
CLEAR_DAYS_BEFORE_START = 2
COMPLETION_NOTICE = timedelta(days=5)
CERTIFICATE_WITHIN = timedelta(days=30)


@dataclass(frozen=True)
class Deadline:
    """What is due by when, `due_on` included."""

    kind: Kind
    due_on: date

    @property
    def rule(self) -> Rule:
        """The rule its date comes from, with its source."""
        return RULES[self.kind]


@dataclass(frozen=True)
class JobDates:
    """What the deadlines of a job hang on; None where there is no date yet.

    `isolator_on`: the network operator's visit, wanted `operator_lead_days` ahead. `asbestos_on`: the first day of
    licensed removal, where it has a visit of its own.
    """

    route: Route
    region: str
    has_licensed_asbestos: bool = False
    starts_on: date | None = None
    finishes_on: date | None = None
    isolator_on: date | None = None
    operator_lead_days: int = OPERATOR_LEAD_DAYS
    asbestos_on: date | None = None


def deadlines_of(job: JobDates, calendar: Calendar) -> list[Deadline]:
    """The job's deadlines, earliest first; those that hang on a day nobody knows yet are left out."""
    found = [*_about_operator(job), *_about_asbestos(job)]
    found += _in_england(job, calendar) if _is_england(job) else _elsewhere(job)
    return sorted(found, key=lambda deadline: (deadline.due_on, list(Kind).index(deadline.kind)))


def last_day_for_notice(starts_on: date, clear_days: int, calendar: Calendar) -> date:
    """The last working day for a notice that leaves so many clear days: whole ones, neither its own nor the start's."""
    day, left = starts_on, clear_days
    while left or not calendar.is_working(day - timedelta(days=1)):
        day -= timedelta(days=1)
        left -= left > 0 and calendar.is_working(day)
    return day - timedelta(days=1)


def _is_england(job: JobDates) -> bool:
    return job.region == ENGLAND and job.route != Route.LOCAL


def _about_operator(job: JobDates) -> list[Deadline]:
    if job.isolator_on is None:
        return []
    return [Deadline(Kind.OPERATOR_REQUEST, job.isolator_on - timedelta(days=job.operator_lead_days))]


def _about_asbestos(job: JobDates) -> list[Deadline]:
    first_on = job.asbestos_on or job.starts_on
    if not job.has_licensed_asbestos or first_on is None:
        return []
    return [Deadline(Kind.ASBESTOS_NOTICE, first_on - ASBESTOS_NOTICE)]


def _in_england(job: JobDates, calendar: Calendar) -> list[Deadline]:
    if job.route == Route.SCHEME:
        return [Deadline(Kind.CERTIFICATE, job.finishes_on + CERTIFICATE_WITHIN)] if job.finishes_on else []
    found = []
    if job.starts_on:
        notice_on = last_day_for_notice(job.starts_on, CLEAR_DAYS_BEFORE_START, calendar)
        found.append(Deadline(Kind.BUILDING_NOTICE, notice_on))
    if job.finishes_on:
        found.append(Deadline(Kind.COMPLETION_NOTICE, job.finishes_on + COMPLETION_NOTICE))
    return found


def _elsewhere(job: JobDates) -> list[Deadline]:
    return [Deadline(Kind.LOCAL_RULES, job.starts_on)] if job.starts_on else []

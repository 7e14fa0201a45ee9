"""A trade that was told a date, for tests: a contact, their visit, the issued plan, the working page link."""

from dataclasses import dataclass
from datetime import date, datetime

from jobs.actions.calendar_entries import renew_entries
from jobs.actions.links import make_link
from jobs.actions.notices import write_notices
from jobs.core.stages import Half
from jobs.models import Contact, Firm, Plan, SecretLink, Span, ToldDate, User, Visit
from tests.factories import NOW, make_contact, make_firm, make_job, make_office, make_plan, make_visit, make_visit_kind

FRIDAY, NEXT_FRIDAY = date(2027, 1, 15), date(2027, 1, 22)


@dataclass
class Told:
    firm: Firm
    office: User
    contact: Contact
    visit: Visit
    plan: Plan
    link: SecretLink
    token: str

    @property
    def date(self) -> ToldDate:
        return ToldDate.objects.filter(visit=self.visit).select_related("notice", "visit").latest("told_at", "pk")

    @property
    def path(self) -> str:
        return f"/t/{self.token}/"


def make_told(firm: Firm | None = None, *, name: str = "Pat", covers_up: bool = False, starts_on: date = FRIDAY) -> Told:
    firm = firm or make_firm()
    office, contact = make_office(firm), make_contact(firm, name=name)
    kind = make_visit_kind(firm, f"plastering-{name}".lower(), name="Plastering", covers_up=covers_up)
    job = make_job(firm, f"Mill Row {name}", address="4 Mill Row\nHexby")
    visit = make_visit(job, contact, kind)
    plan = Plan.objects.filter(firm=firm, state=Plan.State.ISSUED).first() or make_plan(firm, Plan.State.ISSUED)
    issue(plan, [visit], starts_on, office, NOW)
    link, token = make_link(purpose=SecretLink.Purpose.TRADE_PAGE, contact=contact, by=office, now=NOW)
    visit.refresh_from_db()
    return Told(firm, office, contact, visit, plan, link, token)


def issue(plan: Plan, visits: list[Visit], starts_on: date, office: User, now: datetime) -> None:
    """Put the visits on one day of the plan and tell everyone."""
    span = {"starts_on": starts_on, "starts_half": Half.MORNING, "ends_on": starts_on, "ends_half": Half.AFTERNOON}
    for visit in visits:
        Span.objects.update_or_create(firm=plan.firm, plan=plan, visit=visit, defaults=span)
    write_notices(plan=plan, previous=None, by=office, now=now)
    renew_entries(plan=plan, now=now)


def issue_next(told: Told, starts_on: date, now: datetime, *more: Visit) -> Plan:
    """Issue another plan with the visit, and more of them, on another day."""
    Plan.objects.filter(pk=told.plan.pk).update(state=Plan.State.REPLACED)
    plan = make_plan(told.firm, Plan.State.ISSUED, made_at=now)
    issue(plan, [told.visit, *more], starts_on, told.office, now)
    return plan

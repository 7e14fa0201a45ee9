"""The plan of the demo: made, issued, answered by a trade, and a new draft after a delivery slipped."""

from dataclasses import dataclass
from datetime import timedelta

from django.urls import reverse

from jobs.actions.devices import make_sign_in
from jobs.actions.issuing import issue_plan
from jobs.actions.links import make_link
from jobs.actions.planning import plan_again, run_planner
from jobs.actions.visits import accept_visit, suggest_days
from jobs.management.demo.story import Story
from jobs.models import Contact, Job, Plan, SecretLink, ToldDate
from jobs.queries.links import address_path
from jobs.queries.plans import find_draft

PLAN_SECONDS = 4


def plan_and_issue(story: Story) -> Plan:
    draft = _plan(story)
    return issue_plan(plan=draft, version=draft.version, by=story.office, now=story.now)


def answer_first_visit(story: Story) -> None:
    """The trade that comes first says yes."""
    told = ToldDate.objects.filter(firm=story.firm, starts_on__isnull=False).order_by("starts_on", "pk").first()
    if told:
        link, _ = _link(story, SecretLink.Purpose.TRADE_PAGE, contact=told.notice.contact)
        accept_visit(told=told, link=link, now=story.now)


def suggest_for_next_visit(story: Story) -> None:
    """The next trade cannot make it and suggests two days of the week after."""
    told = ToldDate.objects.filter(firm=story.firm, starts_on__isnull=False, answer="").order_by("starts_on", "pk").first()
    if told:
        link, _ = _link(story, SecretLink.Purpose.TRADE_PAGE, contact=told.notice.contact)
        monday = told.starts_on + timedelta(days=7 - told.starts_on.weekday())
        days = [(monday + timedelta(days=1), "am"), (monday + timedelta(days=2), "pm")]
        note = "Finishing another house that day. Either of these suits."
        suggest_days(told=told, link=link, days=days, note=note, now=story.now)


def draft_anew(story: Story) -> None:
    """What the office finds in the morning: a draft that follows the news, not yet issued."""
    _plan(story)


def _plan(story: Story) -> Plan:
    run = plan_again(firm=story.firm, by=story.office, seconds=PLAN_SECONDS, now=story.now)
    run_planner(run_pk=run.pk, now=story.now)
    return find_draft(story.firm)


@dataclass(frozen=True)
class Addresses:
    """Paths to open, and what to type there."""

    office: str
    username: str
    person: str
    phone: str
    phone_code: str
    trade_name: str
    trade: str
    customer_name: str
    customer: str
    calendar: str


def addresses(story: Story) -> Addresses:
    person = story.person(story.tale["crew_phone"])
    sign_in = make_sign_in(person=person, by=story.office, now=story.now)
    contact = Contact.objects.get(firm=story.firm, name=story.tale["shown_trade"])
    trade, _ = _link(story, SecretLink.Purpose.TRADE_PAGE, contact=contact)
    house = Job.objects.get(firm=story.firm, name=story.tale["shown_customer"]["job"])
    customer, _ = _link(story, SecretLink.Purpose.CUSTOMER_PAGE, job=house)
    calendar, _ = _link(story, SecretLink.Purpose.PERSON_FEED, person=person)
    return Addresses(
        office=reverse("sign_in"), username=story.office.username,
        person=person.name, phone=f"{reverse('sign_in_link')}#{sign_in.token}", phone_code=sign_in.code,
        trade_name=contact.name, trade=address_path(trade), customer_name=house.customer.name,
        customer=address_path(customer), calendar=address_path(calendar),
    )


def _link(story: Story, purpose: str, **whose: object) -> tuple[SecretLink, str]:
    return make_link(purpose=purpose, by=story.office, now=story.now, **whose)

"""A firm at work and the address of every office and outside page it has."""

from decimal import Decimal

from django.urls import reverse
from django.utils import timezone

from jobs.actions.handover import edit_handover
from jobs.actions.issuing import issue_plan
from jobs.actions.links import make_link
from jobs.actions.orders import Wanted, place_order
from jobs.actions.planning import plan_again
from jobs.models import Item, Order, SecretLink, Visit
from jobs.queries.links import address_path
from jobs.queries.plans import find_draft
from tests.browser.story_world import Story, let_the_planner_work, make_story
from tests.factories import TODAY, make_supplier

CATALOGUE = ("points", "hours", "circuits", "checks", "visits", "ranges", "swaps")


def make_working_story() -> Story:
    """A planned, issued and replanned firm with an order on its way."""
    story = make_story()
    _plan(story)
    draft = find_draft(story.office.firm)
    issue_plan(plan=draft, version=draft.version, by=story.office, now=timezone.now())
    _plan(story)
    supplier, item = make_supplier(story.office.firm), Item.objects.get(firm=story.office.firm, code="board-18")
    place_order(
        supplier=supplier, lines=[Wanted(item, Decimal(1))], placed_on=TODAY, promised_on=TODAY, by=story.office,
        op_id="0b7a2f6e-6d1c-4c3e-9a51-0d8b3c1f4a10",
    )
    return story


def _plan(story: Story) -> None:
    plan_again(firm=story.office.firm, by=story.office, seconds=1, now=timezone.now())
    let_the_planner_work()


def list_addresses(story: Story) -> list[str]:
    firm, job = story.office.firm, story.job
    visit, room = Visit.objects.filter(contact=story.plasterer).first(), job.rooms.first()
    item, order = Item.objects.get(firm=firm, code="cable-2.5-2c"), Order.objects.get(firm=firm)
    link, _ = make_link(
        purpose=SecretLink.Purpose.TRADE_PAGE, contact=story.plasterer, by=story.office, now=timezone.now()
    )
    edit_handover(job=job, details={"is_shown_to_customer": True}, by=story.office)
    customer, customer_token = make_link(purpose=SecretLink.Purpose.CUSTOMER_PAGE, job=job, by=story.office, now=timezone.now())
    plain = (
        "week", "rule_list", "plan_review", "job_list", "add_job", "catalogue", "catalogue_history", "learned_hours", "stores",
        "add_item", "drum_list",
        "count_list", "order_list", "add_supplier", "van_load", "label_sheet", "scan", "contact_list", "contact_add",
        "notice_list", "calendar_list", "crew", "instruments", "add_person", "firm", "firm_data", "evening_summary",
        "sign_ins", "health", "trail",
    )
    of_one = (
        ("job", job), ("edit_job", job), ("survey", job), ("survey_import", job), ("survey_room", job, room),
        ("job_materials", job), ("cut_list", job), ("floor_sketch", job), ("stores_item", item), ("edit_item", item),
        ("order", order),
        ("circuit_schedule", job), ("circuit_board", job), ("circuit_chart", job), ("circuit_labels", job),
        ("circuit_design", job, job.circuits.first()), ("job_readings", job), ("import_readings", job),
        ("enter_readings", job, "end", job.circuits.first()),
        ("add_price", item), ("edit_supplier", order.supplier), ("contact", story.plasterer),
        ("contact_edit", story.plasterer), ("visit", visit), ("person", story.electrician), ("room_sheet", room),
        ("add_absence_source", story.electrician), ("morning_message", story.electrician), ("job_customer", job),
        ("handover_pack", job),
    )
    sections = [reverse("catalogue_section", args=[slug]) for slug in CATALOGUE]
    sections += [reverse("import_list", args=[kind]) for kind in ("stock", "prices")]
    return [
        *(reverse(name) for name in plain),
        *(reverse(name, args=[getattr(row, "pk", row) for row in rows]) for name, *rows in of_one),
        *sections, address_path(link), address_path(customer), reverse("customer_pack", args=[customer_token]),
    ]

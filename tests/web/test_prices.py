"""Prices are the office's: entered there, shown there, and nowhere on the crew's pages, phones and calendars."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from jobs.actions import stock
from jobs.actions.links import make_link
from jobs.actions.locations import ensure_locations, firm_place
from jobs.actions.prices import add_price
from jobs.models import Item, Location, Price, SecretLink
from jobs.queries.links import address_path
from tests.browser.walk import make_working_story
from tests.factories import make_crew_user

pytestmark = pytest.mark.django_db(transaction=True)
TELLTALE = 918273
"""Pence: what any page that shows a price would show some form of."""
FORMS = ("9,182.73", "9182.73", "918273", "£")


def post(client, item, **data):
    about = {"pounds": "8.90", "per_quantity": "10", "from_on": timezone.localdate().isoformat(), "supplier": ""} | data
    return client.post(reverse("add_price", args=[item.pk]), about)


def text(response):
    return " ".join(response.content.decode().split())


def test_a_price_entered_is_shown_on_the_item(client, store):
    client.force_login(store.office)
    assert post(client, store.box).url == reverse("stores_item", args=[store.box.pk])
    assert "Price £8.90 for 10" in text(client.get(reverse("stores_item", args=[store.box.pk])))


@pytest.mark.parametrize(
    "data", [{"pounds": "8.905"}, {"pounds": "-1"}, {"pounds": "NaN"}, {"per_quantity": "0"}, {"from_on": "x"}]
)
def test_a_price_that_is_none_is_refused_in_words(client, store, data):
    client.force_login(store.office)
    assert post(client, store.box, **data).status_code == 422
    assert not Price.objects.exists()


def test_the_job_shows_what_its_materials_cost(client, store):
    store.receive(20)
    today = timezone.localdate() - timedelta(days=400)
    add_price(
        item=store.box, pence=890, per_quantity=Decimal(10), from_on=today, by=store.office, at=timezone.now()
    )
    stock.use(
        item=store.box, pieces=Decimal(5), job=store.job, moved_from=store.unit, op_id=uuid4(), by=store.office,
        at=timezone.now(),
    )
    client.force_login(store.office)
    assert "£4.45" in text(client.get(reverse("job_materials", args=[store.job.pk])))


@pytest.fixture
def priced_story():
    """A firm at work, every item priced, some of it used."""
    story = make_working_story()
    ensure_locations(firm=story.office.firm)
    unit, now = firm_place(story.office.firm, Location.Kind.UNIT), timezone.now()
    for item in Item.objects.filter(firm=story.office.firm):
        add_price(
            item=item, pence=TELLTALE, per_quantity=Decimal(1), from_on=now.date() - timedelta(days=9), by=story.office, at=now
        )
    item = Item.objects.filter(firm=story.office.firm, unit=Item.Unit.PIECE).first()
    stock.use(
        item=item, pieces=Decimal(1), job=story.job, moved_from=unit, op_id=uuid4(), by=story.office, at=now,
        even_if_short=True,
    )
    return story


def list_names(resolver: URLResolver | None = None) -> list[URLPattern]:
    found = []
    for each in (resolver or get_resolver()).url_patterns:
        found += list_names(each) if isinstance(each, URLResolver) else [each]
    return found


def fill(pattern: URLPattern, story) -> str | None:
    """An address for a page, with the numbers and words a firm at work has; None where a word is a secret."""
    values = {
        "job_pk": story.job.pk, "supplier_pk": 1, "kind": "prices", "content": "stock", "extension": "csv", "what": "use",
        "name": f"item-{Item.objects.filter(firm=story.office.firm).first().pk}", "purpose": "job_feed",
    }
    converters = pattern.pattern.converters
    if "token" in converters or not pattern.name:
        return None
    numbers = {"pk": _pk_for(pattern.name, story)}
    try:
        return reverse(pattern.name, kwargs={name: (numbers | values).get(name, 1) for name in converters})
    except Exception:  # noqa: BLE001  a word this test has no value for: its page asks for none of ours
        return None


def _pk_for(name: str, story) -> int:
    if "room" in name:
        return story.job.rooms.first().pk
    return Item.objects.filter(firm=story.office.firm).first().pk if "item" in name or name == "add_price" else story.job.pk


def test_no_page_that_crew_can_open_shows_a_price(priced_story):
    client = Client()
    client.force_login(make_crew_user(priced_story.electrician))
    addresses = sorted({address for pattern in list_names() if (address := fill(pattern, priced_story))})
    opened = {address: client.get(address) for address in addresses if "sign" not in address and "admin" not in address}
    shown = {
        address: answer.content.decode(errors="replace") for address, answer in opened.items()
        if answer.status_code == 200 and not answer.streaming
    }
    assert {"/site/", f"/site/jobs/{priced_story.job.pk}/", "/site/van/", "/stores/scan/"} <= shown.keys()
    assert [address for address, page in shown.items() if any(form in page for form in FORMS)] == []
    client.force_login(priced_story.office)
    assert "£9,182.73" in text(client.get(reverse("job_materials", args=[priced_story.job.pk])))


def test_no_calendar_shows_a_price(store):
    add_price(
        item=store.box, pence=TELLTALE, per_quantity=Decimal(1), from_on=timezone.localdate(), by=store.office,
        at=timezone.now(),
    )
    link, _ = make_link(
        purpose=SecretLink.Purpose.PERSON_FEED, by=store.office, now=timezone.now(), person=store.person
    )
    page = Client().get(address_path(link)).content.decode()
    assert "BEGIN:VCALENDAR" in page
    assert not any(form in page for form in FORMS)

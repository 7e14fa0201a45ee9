"""The stores' pages: what is there, what will be short, items, drums, suppliers."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.actions import orders, stock
from jobs.actions.orders import Wanted
from jobs.models import Item, Job, MaterialNeed, Plan, Span, Supplier
from tests.factories import make_area, make_crew_user, make_firm, make_item, make_office, make_package, make_plan
from tests.stores import make_store

pytestmark = pytest.mark.django_db


@pytest.fixture
def store():
    store = make_store()
    Job.objects.filter(pk=store.job.pk).update(state=Job.State.ON_SITE)
    return store


@pytest.fixture
def office(client, store):
    client.force_login(store.office)
    return client


def need(store, pieces, in_days=9):
    plan = Plan.objects.filter(firm=store.firm).first() or make_plan(store.firm, Plan.State.ISSUED)
    package = make_package(make_area(store.job))
    MaterialNeed.objects.create(firm=store.firm, package=package, item=store.box, quantity=pieces)
    on = timezone.localdate() + timedelta(days=in_days)
    Span.objects.create(firm=store.firm, plan=plan, package=package, starts_on=on, starts_half="pm", ends_on=on, ends_half="pm")
    return package


def text(response):
    return " ".join(response.content.decode().split())


def owe(store):
    stock.move(
        item=store.box, pieces=Decimal(3), moved_from=store.unit, moved_to=store.van, op_id=uuid4(), by=store.office,
        at=timezone.now(), even_if_short=True,
    )


def test_firm_without_items_is_shown_how_to_begin(client):
    client.force_login(make_office(make_firm()))
    assert "Add the first item" in text(client.get(reverse("stores")))


def test_stock_is_shown_by_place(office, store):
    store.receive(12)
    page = text(office.get(reverse("stores")))
    assert "Back box" in page
    assert "Unit <b>12</b>" in page


def test_covered_plan_is_said_so(office, store):
    assert "cover everything that is planned" in text(office.get(reverse("stores")))


def test_shortage_comes_first_with_the_moment_to_order(office, store):
    make_item(store.firm, "aaa", name="Aaa")
    need(store, 8)
    response = office.get(reverse("stores"))
    assert response.context["rows"][0].item == store.box
    assert "Mill Lane, Ground floor: first fix" in text(response)
    assert "order by" in text(response)


def test_missed_moment_is_said_in_words(office, store):
    need(store, 8, in_days=0)
    assert "too late for that day: ordered now it comes" in text(office.get(reverse("stores")))


def test_balance_below_nought_is_flagged_in_words(office, store):
    owe(store)
    assert "below nought: count it" in text(office.get(reverse("stores")))


def test_balance_below_the_minimum_is_flagged_in_words(office, store):
    Item.objects.filter(pk=store.box.pk).update(keep_at_least=20)
    assert "below the 20 always kept" in text(office.get(reverse("stores")))


@pytest.mark.parametrize(
    ("query", "names"), [("?q=box", ["Back box"]), ("?q=cable+2.5", ["Cable 2.5"]), ("?only=held", ["Back box"]), ("?q=xyz", [])]
)
def test_list_is_searched_and_filtered(office, store, query, names):
    store.receive(5)
    assert [row.item.name for row in office.get(reverse("stores") + query).context["rows"]] == names


def test_fragment_alone_comes_when_htmx_asks(office, store):
    headers = {"HX-Request": "true", "HX-Target": "stock-table"}
    page = text(office.get(reverse("stores"), headers=headers))
    assert page.startswith('<div id="stock-table"')
    assert "<html" not in page


def test_whole_page_comes_when_htmx_restores_history(office, store):
    page = text(office.get(reverse("stores"), headers={"HX-Request": "true", "HX-History-Restore-Request": "true"}))
    assert "<html" in page


def test_queries_stay_the_same_however_much_there_is(office, store, django_assert_max_num_queries):
    for number in range(6):
        store.receive(3, item=make_item(store.firm, f"item-{number}-x"))
        store.receive_drum(f"D{number}")
    need(store, 8)
    with django_assert_max_num_queries(20):
        office.get(reverse("stores"))


def test_item_page_shows_places_days_ahead_and_moves(office, store):
    store.receive(12)
    need(store, 20)
    page = text(office.get(reverse("stores_item", args=[store.box.pk])))
    assert "8 short" in page
    assert "<polyline" in page
    assert "Received" in page


def test_drawing_has_its_figures_beside_it(office, store):
    store.receive(12)
    need(store, 20)
    page = text(office.get(reverse("stores_item", args=[store.box.pk])))
    assert "The same in figures" in page
    assert "-8 short" in page


def test_late_order_is_told_on_the_item(office, store):
    today = timezone.localdate()
    order = orders.place_order(
        supplier=store.supplier, lines=[Wanted(store.box, Decimal(5))], placed_on=today, promised_on=today, op_id=uuid4(),
        by=store.office,
    )
    orders.expect_order(order=order, expected_on=today + timedelta(days=4), today=today, by=store.office)
    assert "late: promised" in text(office.get(reverse("stores_item", args=[store.box.pk])))


def test_cable_shows_its_drums(office, store):
    store.receive_drum("D7", 80)
    assert "D7" in text(office.get(reverse("stores_item", args=[store.cable.pk])))


def test_drums_page_says_what_to_do_when_there_are_none(office):
    assert "Receive the first drum" in text(office.get(reverse("drum_list")))


def test_drum_page_shows_what_is_left_and_what_happened(office, store):
    drum = store.receive_drum("D7", 80)
    page = text(office.get(reverse("drum", args=[drum.pk])))
    assert "80 m left" in page
    assert "Received" in page


@pytest.mark.parametrize(
    "address",
    [
        "stores_item", "edit_item", "drum", "count_stock", "order", "add_order", "job_materials", "cut_list",
        "edit_supplier",
    ],
)
def test_foreign_row_is_not_found(office, address):
    other = make_store("Another firm")
    today = timezone.localdate()
    order = orders.place_order(
        supplier=other.supplier, lines=[Wanted(other.box, Decimal(5))], placed_on=today, promised_on=today, op_id=uuid4(),
        by=other.office,
    )
    rows = {
        "stores_item": other.box, "edit_item": other.box, "drum": other.receive_drum(), "count_stock": other.unit,
        "order": order, "add_order": other.supplier, "job_materials": other.job, "cut_list": other.job,
        "edit_supplier": other.supplier,
    }
    assert office.get(reverse(address, args=[rows[address].pk])).status_code == 404


@pytest.mark.parametrize("address", ["stores", "drum_list", "order_list", "count_list", "van_load"])
def test_crew_are_sent_to_their_own_page(client, store, address):
    client.force_login(make_crew_user(store.person))
    assert client.get(reverse(address)).url == reverse("today")


def test_item_is_added(office, store):
    data = {"name": "Grommet", "unit": "piece", "pack_size": "100", "keep_at_least": "50"}
    response = office.post(reverse("add_item"), data)
    assert response.url == reverse("stores_item", args=[Item.objects.get(name="Grommet").pk])


def test_item_is_refused_at_its_field(office, store):
    store.receive(5)
    data = {"name": "Back box", "unit": "metre", "pack_size": "10", "keep_at_least": "0"}
    response = office.post(reverse("edit_item", args=[store.box.pk]), data)
    assert response.status_code == 422
    assert "stock moves already" in text(response)


def test_supplier_is_added(office, store):
    data = {"name": "Corner counter", "lead_working_days": "0", "order_cut_off": ""}
    assert office.post(reverse("add_supplier"), data).url == reverse("order_list")
    assert Supplier.objects.filter(firm=store.firm, name="Corner counter").exists()

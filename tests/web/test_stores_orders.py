"""Orders on the stores' pages."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.actions import orders
from jobs.actions.orders import Wanted
from jobs.models import Drum, Job, MaterialNeed, Order, OutboxEntry, Plan, Span, Supplier
from tests.factories import make_area, make_firm, make_item, make_office, make_package, make_plan
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


def place(store, boxes=20, cable=0):
    today = timezone.localdate()
    wanted = [(store.box, boxes), (store.cable, cable)]
    return orders.place_order(
        supplier=store.supplier, placed_on=today, promised_on=today + timedelta(days=1), op_id=uuid4(), by=store.office,
        lines=[Wanted(item, Decimal(quantity)) for item, quantity in wanted if quantity],
    )


def need(store, pieces, in_days=2):
    plan = make_plan(store.firm, Plan.State.ISSUED)
    package = make_package(make_area(store.job))
    MaterialNeed.objects.create(firm=store.firm, package=package, item=store.box, quantity=pieces)
    on = timezone.localdate() + timedelta(days=in_days)
    Span.objects.create(firm=store.firm, plan=plan, package=package, starts_on=on, starts_half="am", ends_on=on, ends_half="am")


def text(response):
    return " ".join(response.content.decode().split())


def test_firm_without_suppliers_is_shown_how_to_begin(client):
    client.force_login(make_office(make_firm()))
    assert "Add the first supplier" in text(client.get(reverse("order_list")))


def test_what_is_short_is_proposed_by_supplier(office, store):
    need(store, 23)
    assert "Wholesaler: 1 item short" in text(office.get(reverse("order_list")))


def test_items_without_a_supplier_are_told(office, store):
    make_item(store.firm, keep_at_least=5)
    assert "1 item to order have no supplier" in text(office.get(reverse("order_list")))


def test_late_order_says_who_waits(office, store):
    need(store, 20)
    order = place(store)
    today = timezone.localdate()
    orders.expect_order(order=order, expected_on=today + timedelta(days=9), today=today, by=store.office)
    page = text(office.get(reverse("order_list")))
    assert '<span class="tag is-bad">late</span> promised' in page
    assert "Mill Lane</a>, Ground floor, first fix: 20 of Back box" in page
    assert "comes too late for that" in page


def test_whole_packs_are_proposed(office, store):
    need(store, 23)
    form = office.get(reverse("add_order", args=[store.supplier.pk])).context["form"]
    assert form[f"item-{store.box.pk}"].value() == "30"


def order_data(**data):
    today = timezone.localdate()
    return {
        "op_id": str(uuid4()), "reference": "", "placed_on": today.isoformat(),
        "promised_on": (today + timedelta(days=1)).isoformat(), "job": "",
    } | data


def test_order_is_written_down(office, store):
    response = office.post(reverse("add_order", args=[store.supplier.pk]), order_data(**{f"item-{store.box.pk}": "30"}))
    order = Order.objects.get(firm=store.firm)
    assert response.url == reverse("order", args=[order.pk])
    assert [(line.item, line.quantity) for line in order.lines.all()] == [(store.box, 30)]


@pytest.mark.parametrize(
    ("data", "words"),
    [({}, "at least one item"), ({"promised_on": "2020-01-01"}, "before it is ordered"), ({"promised_on": "soon"}, "valid date")],
)
def test_order_is_refused_in_words(office, store, data, words):
    quantity = {} if not data else {f"item-{store.box.pk}": "30"}
    response = office.post(reverse("add_order", args=[store.supplier.pk]), order_data(**quantity, **data))
    assert response.status_code == 422
    assert words in text(response)


def receive(office, order, store, **data):
    common = {"op_id": str(uuid4()), "to": store.unit.pk, "note": ""}
    return office.post(reverse("receive_order", args=[order.pk]), common | data)


def line(order, item):
    return f"line-{order.lines.get(item=item).pk}"


def test_part_delivery_is_received(office, store):
    order = place(store)
    receive(office, order, store, **{line(order, store.box): "5"})
    assert store.held(store.unit) == 5
    assert "part came" in text(office.get(reverse("order_list")))


def test_drums_of_an_order_are_received_by_label(office, store):
    order = place(store, boxes=0, cable=200)
    key = line(order, store.cable)
    receive(office, order, store, **{
        f"{key}-label-1": "D1", f"{key}-metres-1": "100", f"{key}-label-2": "D2", f"{key}-metres-2": "100",
    })
    order.refresh_from_db()
    assert (Drum.objects.count(), order.state) == (2, Order.State.ARRIVED)


def test_second_scan_of_a_delivery_is_refused_in_words(office, store):
    order = place(store)
    receive(office, order, store, **{line(order, store.box): "20"})
    response = receive(office, order, store, **{line(order, store.box): "20"})
    assert response.status_code == 422
    assert "20 of 20 came before" in text(response)
    assert store.held(store.unit) == 20


def test_double_press_receives_once(office, store):
    order, op_id = place(store, boxes=0, cable=100), str(uuid4())
    key = line(order, store.cable)
    for _ in range(2):
        response = receive(office, order, store, op_id=op_id, **{f"{key}-label-1": "D1", f"{key}-metres-1": "100"})
    assert (response.status_code, Drum.objects.count()) == (302, 1)


def test_new_day_is_saved(office, store):
    order = place(store)
    on = timezone.localdate() + timedelta(days=6)
    office.post(reverse("expect_order", args=[order.pk]), {"expected_on": on.isoformat()})
    order.refresh_from_db()
    assert (order.expected_on, order.is_late) == (on, True)


def test_day_gone_by_is_refused_in_words(office, store):
    response = office.post(reverse("expect_order", args=[place(store).pk]), {"expected_on": "2020-01-01"})
    assert response.status_code == 422
    assert "That day is over" in text(response)


def test_order_is_cancelled(office, store):
    order = place(store)
    office.post(reverse("cancel_order", args=[order.pk]))
    order.refresh_from_db()
    assert order.state == Order.State.CANCELLED


def test_supplier_of_a_cancelled_order_is_told_from_its_page(office, store):
    order = place(store)
    address = reverse("order", args=[order.pk])
    office.post(reverse("cancel_order", args=[order.pk]), {"how": "later"})
    assert "has not been told" in text(office.get(address))
    office.post(reverse("tell_cancelled", args=[order.pk]), {"how": "phone"})
    assert "was told by phone that it is cancelled" in text(office.get(address))


def test_effects_ask_again_while_a_plan_is_made(office, store):
    order = place(store)
    address = reverse("order_effects", args=[order.pk])
    assert "hx-trigger" not in text(office.get(address))
    on = timezone.localdate() + timedelta(days=6)
    office.post(reverse("expect_order", args=[order.pk]), {"expected_on": on.isoformat()})
    page = text(office.get(reverse("order", args=[order.pk])))
    assert f'hx-get="{address}" hx-trigger="every 2s"' in page
    assert "A new draft is being made." in page


def test_order_is_not_cancelled_by_looking_at_it(office, store):
    assert office.get(reverse("cancel_order", args=[place(store).pk])).status_code == 405


def test_foreign_order_is_not_received(office, store):
    other = make_store("Another firm")
    order = place(other)
    assert receive(office, order, store, **{line(order, other.box): "5"}).status_code == 404


def test_queries_stay_the_same_however_many_orders_there_are(office, store, django_assert_max_num_queries):
    for _ in range(6):
        place(store)
    with django_assert_max_num_queries(20):
        office.get(reverse("order_list"))


def write(office, store, boxes="30"):
    response = office.post(reverse("add_order", args=[store.supplier.pk]), order_data(**{f"item-{store.box.pk}": boxes}))
    assert response.status_code == 302
    return Order.objects.get(firm=store.firm)


def test_an_order_is_looked_at_before_it_goes_out(office, store):
    Supplier.objects.update(email="counter@wholesaler.example")
    order = write(office, store)
    page = text(office.get(reverse("order", args=[order.pk])))
    assert "- 30 x Back box (3 packs of 10)" in page
    assert reverse("send_order", args=[order.pk]) in page


def test_an_order_sent_from_its_page_waits_in_the_outbox(office, store):
    Supplier.objects.update(email="counter@wholesaler.example")
    order = write(office, store)
    office.post(reverse("send_order", args=[order.pk]))
    assert OutboxEntry.objects.filter(key=f"order:{order.pk}").exists()
    assert "The mail to counter@wholesaler.example is on its way" in text(office.get(reverse("order", args=[order.pk])))


def test_a_supplier_without_address_is_told_of(office, store):
    order = write(office, store)
    office.post(reverse("send_order", args=[order.pk]))
    assert "has no e-mail address" in text(office.get(reverse("order", args=[order.pk])))


def test_an_order_is_edited_before_it_goes_out(office, store):
    order = write(office, store)
    address = reverse("edit_order", args=[order.pk])
    assert 'value="30"' in text(office.get(address))
    office.post(address, order_data(**{f"item-{store.box.pk}": "40"}))
    assert order.lines.get().quantity == 40


def test_an_order_that_went_out_is_not_edited(office, store):
    order = place(store)
    assert office.get(reverse("edit_order", args=[order.pk])).url == reverse("order", args=[order.pk])


def test_an_order_by_phone_is_counted_on(office, store):
    order = write(office, store)
    office.post(reverse("mark_ordered", args=[order.pk]), {"placed_on": timezone.localdate().isoformat()})
    order.refresh_from_db()
    assert order.state == Order.State.PLACED


@pytest.mark.parametrize("day", ["", "soon", "2999-01-01"])
def test_a_day_of_ordering_that_cannot_be_is_refused(office, store, day):
    order = write(office, store)
    assert office.post(reverse("mark_ordered", args=[order.pk]), {"placed_on": day}).status_code == 422


def test_an_unsent_order_is_thrown_away_and_one_that_went_out_stays(office, store):
    office.post(reverse("drop_order", args=[write(office, store).pk]))
    sent = place(store)
    office.post(reverse("drop_order", args=[sent.pk]))
    assert list(Order.objects.all()) == [sent]


def test_what_is_on_an_unsent_order_is_not_proposed_again(office, store):
    need(store, 23)
    write(office, store)
    page = text(office.get(reverse("order_list")))
    assert "Not sent yet" in page
    assert "Nothing else needs ordering" in page


def test_no_more_is_proposed_than_is_needed_by_a_day(office, store):
    need(store, 8, in_days=2)
    address = reverse("add_order", args=[store.supplier.pk])
    until = (timezone.localdate() + timedelta(days=1)).isoformat()
    assert f'name="item-{store.box.pk}" value="10"' in text(office.get(address))
    assert 'value="10"' not in text(office.get(address, {"until": until}))


def test_the_table_of_an_order_is_downloaded(office, store):
    response = office.get(reverse("order_table", args=[write(office, store).pk]))
    assert response["Content-Disposition"].startswith("attachment")
    assert b"back-box,Back box,30,each,10" in response.content


@pytest.mark.parametrize("name", ["send_order", "drop_order", "edit_order", "order_table"])
def test_another_firms_order_is_not_found(client, store, name):
    order = place(store)
    client.force_login(make_store("Other Electrics").office)
    method = client.post if name in {"send_order", "drop_order"} else client.get
    assert method(reverse(name, args=[order.pk])).status_code == 404

import csv
import io
from decimal import Decimal
from uuid import uuid4

import pytest
from django.core import mail
from django.utils import timezone

from jobs import outbox
from jobs.actions import orders
from jobs.actions.order_mail import order_text, send_order, send_order_mail
from jobs.actions.orders import Wanted
from jobs.actions.permission import Refused
from jobs.models import Order, OutboxEntry, Supplier
from jobs.queries.orders import load_lines_to_come, load_order
from tests.factories import NOW, TODAY, make_item
from tests.stores import make_store

pytestmark = pytest.mark.django_db


@pytest.fixture
def store():
    store = make_store()
    Supplier.objects.filter(pk=store.supplier.pk).update(email="counter@wholesaler.example")
    store.supplier.refresh_from_db()
    return store


@pytest.fixture
def order(store):
    return write(store, Wanted(store.box, Decimal(20)), Wanted(store.cable, Decimal(200)))


def write(store, *lines):
    return orders.write_order(
        supplier=store.supplier, lines=lines, today=TODAY, promised_on=TODAY, op_id=uuid4(), by=store.office,
        note="Ring the bell.",
    )


def send(store, order):
    send_order(order=order, by=store.office, now=NOW)
    (done := send_order_mail(order_pk=order.pk, now=NOW)) and done()
    return mail.outbox[-1]


def test_an_unsent_order_is_not_counted_on(store, order):
    assert load_lines_to_come(store.firm) == []
    send_order(order=order, by=store.office, now=NOW)
    assert len(load_lines_to_come(store.firm)) == 2


def test_the_mail_says_what_is_wanted_and_when(store, order):
    sent = send(store, order)
    assert (sent.to, sent.subject) == (["counter@wholesaler.example"], "Order O1 from Hazel Lane Electrics")
    assert "- 20 x Back box (2 packs of 10)\n- 200 m of Cable 2.5 (2 drums of 100 m)\n" in sent.body
    assert "Wanted on Tuesday 12 January 2027." in sent.body


def test_the_table_goes_with_the_mail_and_no_cell_is_a_formula(store):
    trap = make_item(store.firm, name="=cmd()", supplier=store.supplier)
    ((name, content, kind),) = send(store, write(store, Wanted(trap, Decimal(1)))).attachments
    _, row = csv.reader(io.StringIO(content.lstrip("\ufeff")))
    assert (name, kind, row[2:5]) == ("order-O1.csv", "text/csv", ["'=cmd()", "1", "each"])


def test_the_message_id_stays_when_the_mail_is_tried_again(store, order):
    first = send(store, order).extra_headers["Message-ID"]
    Order.objects.update(mailed_at=None)
    send_order_mail(order_pk=order.pk, now=NOW)
    assert mail.outbox[-1].extra_headers["Message-ID"] == first


def test_the_outbox_mails_it_once(store, order):
    send_order(order=order, by=store.office, now=timezone.now())
    outbox.run_entry(OutboxEntry.objects.get(task="send_order_mail").pk)
    assert send_order_mail(order_pk=order.pk, now=NOW) is None
    assert len(mail.outbox) == 1


def test_an_order_goes_out_once(store, order):
    send_order(order=order, by=store.office, now=NOW)
    with pytest.raises(Refused, match="went out already"):
        send_order(order=order, by=store.office, now=NOW)


def test_nothing_is_mailed_when_it_was_cancelled_meanwhile(store, order):
    send_order(order=order, by=store.office, now=NOW)
    orders.cancel_order(order=order, by=store.office)
    assert send_order_mail(order_pk=order.pk, now=NOW) is None


def test_a_supplier_without_address_cannot_be_mailed(store, order):
    Supplier.objects.update(email="")
    with pytest.raises(Refused, match="no e-mail address"):
        send_order(order=order, by=store.office, now=NOW)


def test_an_unsent_order_can_be_edited_and_thrown_away(store, order):
    orders.edit_order(
        order=order, lines=[Wanted(store.box, Decimal(30))], today=TODAY, promised_on=TODAY, by=store.office, note="New"
    )
    assert [(row.line.item, row.line.quantity) for row in load_order(order).lines] == [(store.box, 30)]
    orders.drop_order(order=order, by=store.office)
    assert not Order.objects.exists()


def test_an_order_by_phone_is_counted_on(store, order):
    orders.mark_ordered(order=order, placed_on=TODAY, today=TODAY, by=store.office)
    assert len(load_lines_to_come(store.firm)) == 2


def test_nothing_is_received_on_an_order_that_never_went_out(store, order):
    line = order.lines.get(item=store.box)
    with pytest.raises(Refused, match="has not gone out yet"):
        orders.receive_order(
            order=order, arrived=[orders.Arrived(line, Decimal(1))], to=store.unit, op_id=uuid4(), by=store.office, at=NOW
        )


def test_the_letter_reads_the_same_before_it_is_sent(store, order):
    before = order_text(load_order(order))
    assert send(store, order).body == before

from decimal import Decimal
from uuid import uuid4

import pytest
from django.core import mail
from django.utils import timezone

from jobs import outbox
from jobs.actions import orders
from jobs.actions.order_cancelling import cancel_and_tell, send_cancel_mail, tell_supplier
from jobs.actions.order_mail import send_order
from jobs.actions.orders import Arrived, Wanted
from jobs.actions.permission import Refused
from jobs.models import Order, OutboxEntry, Supplier
from tests.factories import NOW, TODAY
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
    order = orders.write_order(
        supplier=store.supplier, lines=[Wanted(store.box, Decimal(20)), Wanted(store.cable, Decimal(200))], today=TODAY,
        promised_on=TODAY, op_id=uuid4(), by=store.office,
    )
    return send_order(order=order, by=store.office, now=NOW)


def cancel(store, order, how="mail", now=NOW):
    return cancel_and_tell(order=order, how=how, by=store.office, now=now)


def test_cancellation_answers_the_mail_of_the_order(store, order):
    order = cancel(store, order)
    send_cancel_mail(order_pk=order.pk, now=NOW)
    (sent,) = mail.outbox
    assert (sent.to, sent.subject) == (["counter@wholesaler.example"], "Cancelled: Order O1 from Hazel Lane Electrics")
    # RFC 5322, 3.6.4: an answer names the message it answers in both fields.
    assert sent.extra_headers == {
        "Message-ID": order.cancel_message_id, "In-Reply-To": order.message_id, "References": order.message_id,
    }


def test_cancellation_names_only_what_has_not_come(store, order):
    arrived = [Arrived(order.lines.get(item=store.box), Decimal(5))]
    orders.receive_order(order=order, arrived=arrived, to=store.unit, op_id=uuid4(), by=store.office, at=NOW)
    send_cancel_mail(order_pk=cancel(store, order).pk, now=NOW)
    assert "as far as it has not come yet" in mail.outbox[0].body
    assert "- 15 x Back box\n- 200 m of Cable 2.5\n" in mail.outbox[0].body


def test_message_id_stays_when_the_cancellation_is_tried_again(store, order):
    order = cancel(store, order)
    for _ in range(2):
        send_cancel_mail(order_pk=order.pk, now=NOW)
    assert {sent.extra_headers["Message-ID"] for sent in mail.outbox} == {order.cancel_message_id}


def test_outbox_mails_a_cancellation_once(store, order):
    cancel(store, order, now=timezone.now())
    outbox.run_entry(OutboxEntry.objects.get(task="send_cancel_mail").pk)
    assert send_cancel_mail(order_pk=order.pk, now=NOW) is None
    assert len(mail.outbox) == 1


def test_supplier_told_by_phone_gets_no_mail(store, order):
    assert cancel(store, order, "phone").cancel_told_at == NOW
    assert not OutboxEntry.objects.filter(task="send_cancel_mail").exists()


def test_supplier_is_told_later_and_once(store, order):
    cancel(store, order, "later")
    assert tell_supplier(order=order, how="mail", by=store.office, now=NOW).cancel_asked_at == NOW
    with pytest.raises(Refused, match="told of it already"):
        tell_supplier(order=order, how="phone", by=store.office, now=NOW)


def test_nothing_is_cancelled_when_there_is_no_address_to_mail_it_to(store, order):
    Supplier.objects.update(email="")
    Order.objects.update(mailed_to="")
    with pytest.raises(Refused, match="no e-mail address"):
        cancel(store, order)
    order.refresh_from_db()
    assert order.state == Order.State.PLACED


def test_supplier_is_not_told_of_an_order_that_stands(store, order):
    with pytest.raises(Refused, match="is not cancelled"):
        tell_supplier(order=order, how="mail", by=store.office, now=NOW)

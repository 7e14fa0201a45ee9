"""Cancelling an order, and telling its supplier: by mail through the outbox, or by phone, said here."""

from collections.abc import Callable
from datetime import datetime
from email.utils import make_msgid
from functools import partial
from urllib.parse import urlsplit

from django.conf import settings
from django.db import transaction
from django.template.loader import render_to_string

from jobs import outbox
from jobs.actions.order_mail import message_to_supplier, order_subject
from jobs.actions.orders import cancel_order
from jobs.actions.permission import Refused, require_office
from jobs.models import Order, User
from jobs.queries.orders import OrderRow, load_order

BY_MAIL, BY_PHONE, LATER = "mail", "phone", "later"


@transaction.atomic
def cancel_and_tell(*, order: Order, how: str, by: User, now: datetime) -> Order:
    """Nothing more of an order is counted on; the supplier is told by mail or was told by phone, or is told later."""
    order = cancel_order(order=order, by=by)
    return order if how == LATER else tell_supplier(order=order, how=how, by=by, now=now)


@transaction.atomic
def tell_supplier(*, order: Order, how: str, by: User, now: datetime) -> Order:
    """A cancelled order's supplier is told once."""
    require_office(by, order)
    order = Order.objects.select_for_update(of=("self",)).select_related("supplier", "firm").get(pk=order.pk, firm=by.firm)
    if order.state != Order.State.CANCELLED:
        raise Refused(f"Order {order} is not cancelled.")
    if order.cancel_asked_at or order.cancel_told_at:
        raise Refused(f"{order.supplier} was told of it already.")
    if how == BY_PHONE:
        order.cancel_told_at = now
        order.save(update_fields=["cancel_told_at"])
        return order
    return _ask_for_mail(order, now)


def _ask_for_mail(order: Order, now: datetime) -> Order:
    if not (order.mailed_to or order.supplier.email):
        raise Refused(f"{order.supplier} has no e-mail address. Enter one, or ring and say so here.")
    order.cancel_asked_at, order.cancel_message_id = now, make_msgid(domain=urlsplit(settings.SITE_URL).hostname)
    order.mailed_to = order.mailed_to or order.supplier.email
    order.save(update_fields=["cancel_asked_at", "cancel_message_id", "mailed_to"])
    outbox.enqueue(
        key=f"cancel_order:{order.pk}", task="send_cancel_mail", payload={"order_pk": order.pk}, due_at=now, firm=order.firm
    )
    return order


def send_cancel_mail(*, order_pk: int, now: datetime) -> Callable[[], object] | None:
    """Mail a cancellation, once as far as we know, as an answer to the order's own mail where there was one."""
    order = Order.objects.select_related("firm", "supplier", "job").get(pk=order_pk)
    if order.cancel_mailed_at:
        return None
    thread = {"In-Reply-To": order.message_id, "References": order.message_id} if order.message_id else {}
    headers = {"Message-ID": order.cancel_message_id} | thread
    subject, text = f"Cancelled: {order_subject(order)}", cancel_text(load_order(order))
    message_to_supplier(order, subject=subject, body=text, headers=headers).send()
    return partial(Order.objects.filter(pk=order_pk, cancel_mailed_at=None).update, cancel_mailed_at=now)


def cancel_text(row: OrderRow) -> str:
    """The whole message in plain words, as it is mailed and as it can be read out."""
    return render_to_string("mail/order_cancelled.txt", {"row": row, "order": row.order, "firm": row.order.firm}).strip() + "\n"

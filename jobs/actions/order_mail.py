"""Sending an order: asked for once, mailed by whoever runs the outbox."""

from collections.abc import Callable
from datetime import datetime
from email.utils import formataddr, make_msgid, parseaddr
from functools import partial
from urllib.parse import urlsplit

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.template.loader import render_to_string

from jobs import outbox
from jobs.actions.orders import hold_written
from jobs.actions.permission import Refused, require_office
from jobs.core.figures import plain
from jobs.core.order_file import write_order_file
from jobs.models import Order, User
from jobs.queries.firm_calendar import local_today
from jobs.queries.orders import OrderRow, load_order


@transaction.atomic
def send_order(*, order: Order, by: User, now: datetime) -> Order:
    """The order goes out by mail: from now on it is counted on."""
    require_office(by, order)
    order = hold_written(order, by)
    today = local_today(order.firm, now)
    if not order.supplier.email:
        raise Refused(f"{order.supplier} has no e-mail address. Enter one, or order by phone and say so here.")
    if order.promised_on < today:
        raise Refused("The day it is wanted for is over. Edit the order first.")
    order.state, order.placed_on, order.mail_asked_at = Order.State.PLACED, today, now
    order.message_id, order.mailed_to = make_msgid(domain=urlsplit(settings.SITE_URL).hostname), order.supplier.email
    order.save(update_fields=["state", "placed_on", "mail_asked_at", "message_id", "mailed_to"])
    outbox.enqueue(
        key=f"order:{order.pk}", task="send_order_mail", payload={"order_pk": order.pk}, due_at=now, firm=order.firm
    )
    return order


def send_order_mail(*, order_pk: int, now: datetime) -> Callable[[], object] | None:
    """Mail an order, once as far as we know; the Message-ID stays the same however often it is tried."""
    order = Order.objects.select_related("firm", "supplier", "job").get(pk=order_pk)
    if order.mailed_at or order.state == Order.State.CANCELLED:
        return None
    _message(load_order(order)).send()
    return partial(Order.objects.filter(pk=order_pk, mailed_at=None).update, mailed_at=now)


def order_text(row: OrderRow) -> str:
    """The whole message in plain words, as it is mailed and as it can be copied."""
    return render_to_string("mail/order.txt", {"row": row, "order": row.order, "firm": row.order.firm}).strip() + "\n"


def order_subject(order: Order) -> str:
    return " ".join(f"Order {order.reference} from {order.firm.name}".split())


def order_file(row: OrderRow) -> bytes:
    return write_order_file(
        (row.order.reference, each.line.item.code, each.line.item.name, plain(each.line.quantity),
         each.line.item.get_unit_display(), plain(each.line.item.pack_size))
        for each in row.lines
    )


def message_to_supplier(order: Order, *, subject: str, body: str, headers: dict[str, str]) -> EmailMessage:
    """A mail about an order, from the firm's name; answers go to the firm's own address."""
    firm = order.firm
    return EmailMessage(
        subject=subject,
        body=body,
        from_email=formataddr((" ".join(firm.name.split()), parseaddr(settings.DEFAULT_FROM_EMAIL)[1])),
        to=[order.mailed_to],
        reply_to=[firm.email] if firm.email else [],
        headers=headers,
    )


def _message(row: OrderRow) -> EmailMessage:
    order = row.order
    message = message_to_supplier(
        order, subject=order_subject(order), body=order_text(row), headers={"Message-ID": order.message_id}
    )
    message.attach(f"order-{_plain(order.reference)}.csv", order_file(row), "text/csv")
    return message


def _plain(reference: str) -> str:
    return "".join(letter if letter.isalnum() else "-" for letter in reference)

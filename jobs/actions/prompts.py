"""Reminders and chasers: written once a day at the firm's hour, sent like every other notice."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction

from jobs.actions.links import ensure_trade_links
from jobs.actions.posting import new_message_id, one_line, post
from jobs.core.telling import prompt_headline
from jobs.models import Contact, Firm, Notice, Prompt
from jobs.outbox import enqueue
from jobs.queries.firm_calendar import load_calendar, local_today
from jobs.queries.prompts import Kind, Prompting, load_prompts

STILL_WRITTEN_FOR = timedelta(hours=6)
"""A server that was off at the hour makes up for it, but not in the middle of the night."""


@transaction.atomic
def ask_for_prompts(*, now: datetime) -> None:
    """Once per firm and working day, from the hour it chose."""
    for firm in Firm.objects.all():
        today = local_today(firm, now)
        due_at = datetime.combine(today, firm.prompts_at, ZoneInfo(firm.zone))
        if due_at <= now < due_at + STILL_WRITTEN_FOR and load_calendar(firm, today).is_working(today):
            payload = {"firm_pk": firm.pk, "on": str(today)}
            enqueue(key=f"prompts:{firm.pk}:{today}", task="write_prompts", payload=payload, due_at=now, firm=firm)


@transaction.atomic
def write_prompts(*, firm_pk: int, on: date, now: datetime) -> list[Notice]:
    """At most one notice for each contact: of what comes next working day, and of what they have not answered.

    Nothing when the day is over; never the same reminder, or the same chaser, twice.
    """
    firm = Firm.objects.select_for_update().get(pk=firm_pk)
    if on != local_today(firm, now):
        return []
    return [_write(firm, contact, prompts, now) for contact, prompts in load_prompts(firm, now).items()]


def _write(firm: Firm, contact: Contact, prompts: list[Prompting], now: datetime) -> Notice:
    reminds = any(each.kind == Kind.REMINDER for each in prompts)
    notice = Notice.objects.create(
        firm=firm, contact=contact, kind=Notice.Kind.REMINDER if reminds else Notice.Kind.CHASER,
        subject=one_line(prompt_headline([each.telling for each in prompts], reminds=reminds)),
        lines=[each.telling.line for each in prompts], message_id=new_message_id(), made_at=now,
    )
    Prompt.objects.bulk_create(
        Prompt(firm=firm, notice=notice, told=each.told, kind=each.kind, number=each.number) for each in prompts
    )
    ensure_trade_links(contacts=[contact], now=now)
    post(notice, firm, now, about=prompts[0].told.starts_on)
    return notice

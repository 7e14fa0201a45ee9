"""The morning message to the crew and the evening summary to the office: asked for at their hour, sent once a day."""

from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from email.utils import formataddr, parseaddr
from functools import partial
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.template.loader import render_to_string

from jobs.models import DayMessage, Firm, Person
from jobs.outbox import enqueue
from jobs.queries.day_messages import EveningSummary, MorningMessage, list_awaited, load_evening, load_morning
from jobs.queries.firm_calendar import load_calendar, local_today

STILL_SENT_FOR = timedelta(hours=3)
"""A server that was off at the hour sends late, but no morning message at noon."""

Kind = DayMessage.Kind


@transaction.atomic
def ask_for_messages(*, now: datetime) -> None:
    """Once per day and recipient, on working days, from the hour the firm chose."""
    for firm in Firm.objects.all():
        today = local_today(firm, now)
        if not load_calendar(firm, today).is_working(today):
            continue
        if _is_hour(firm, firm.morning_message_at, now):
            for person in list_awaited(firm, today):
                _ask(firm, f"morning:{person.pk}:{today}", "send_morning", {"person_pk": person.pk, "on": str(today)}, now)
        if firm.wants_evening_summary and firm.email and _is_hour(firm, firm.evening_summary_at, now):
            _ask(firm, f"evening:{firm.pk}:{today}", "send_evening", {"firm_pk": firm.pk, "on": str(today)}, now)


def send_morning(*, person_pk: int, on: date, now: datetime) -> Callable[[], object] | None:
    """Mail somebody their day, unless they were told, want it no more, or there is nothing to say."""
    person = Person.objects.select_related("firm").filter(pk=person_pk, is_active=True, wants_morning_message=True).first()
    if person is None or not person.email or on != local_today(person.firm, now) or _was_sent(Kind.MORNING, on, person=person):
        return None
    message = load_morning(person, on, now)
    if message is None:
        return None
    return _send(person.firm, Kind.MORNING, on, message.subject, morning_text(message), person.email, now, person)


def send_evening(*, firm_pk: int, on: date, now: datetime) -> Callable[[], object] | None:
    """Mail the office what was done, what moves and what to order, unless there is nothing to say."""
    firm = Firm.objects.get(pk=firm_pk)
    is_wanted = firm.email and firm.wants_evening_summary and on == local_today(firm, now)
    summary = load_evening(firm, on, now) if is_wanted and not _was_sent(Kind.EVENING, on, firm=firm) else None
    if summary is None:
        return None
    return _send(firm, Kind.EVENING, on, summary.subject, evening_text(summary), firm.email, now, None)


def morning_text(message: MorningMessage) -> str:
    """The whole message in plain words, as it is mailed and as the office sees it beforehand."""
    return _words("mail/morning.txt", message=message, firm=message.person.firm)


def evening_text(summary: EveningSummary) -> str:
    return _words("mail/evening.txt", summary=summary)


def _is_hour(firm: Firm, hour: time, now: datetime) -> bool:
    zone = ZoneInfo(firm.zone)
    due_at = datetime.combine(local_today(firm, now), hour, zone)
    return due_at <= now < due_at + STILL_SENT_FOR


def _ask(firm: Firm, key: str, task: str, payload: dict, now: datetime) -> None:
    enqueue(key=key, task=task, payload=payload, due_at=now, firm=firm)


def _was_sent(kind: str, on: date, **whose: Person | Firm) -> bool:
    return DayMessage.objects.filter(kind=kind, on=on, **whose).exists()


def _send(
    firm: Firm, kind: str, on: date, subject: str, text: str, address: str, now: datetime, person: Person | None
) -> Callable[[], object]:
    """Mail it; the answer keeps that it left. Tried twice, it has the same Message-ID twice."""
    own_id = f"<{kind}.{person.pk if person else f'firm-{firm.pk}'}.{on}@{urlsplit(settings.SITE_URL).hostname}>"
    EmailMessage(
        subject=" ".join(subject.split()),
        body=text,
        from_email=formataddr((" ".join(firm.name.split()), parseaddr(settings.DEFAULT_FROM_EMAIL)[1])),
        to=[address],
        reply_to=[firm.email] if firm.email and person else [],
        headers={"Message-ID": own_id, "Auto-Submitted": "auto-generated"},
    ).send()
    kept = {"subject": subject, "text": text, "sent_to": address, "sent_at": now}
    return partial(DayMessage.objects.get_or_create, firm=firm, kind=kind, on=on, person=person, defaults=kept)


def _words(template: str, **context: object) -> str:
    return render_to_string(template, context).strip() + "\n"

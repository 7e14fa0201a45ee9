"""Background work: each task loads by primary key and calls one action."""

from datetime import date, timedelta

from django.conf import settings
from django.utils import timezone

from jobs import outbox
from jobs.actions import (
    absence_sources,
    closing,
    day_messages,
    deadlines,
    firm_archives,
    handover,
    housekeeping,
    late_orders,
    mailing,
    order_cancelling,
    order_mail,
    photos,
    planning,
    prompts,
)
from jobs.backups import make_backup
from rewire.celery import app


@app.task
def run_outbox_entry(entry_pk: int) -> None:
    outbox.run_entry(entry_pk)


@app.task
def sweep() -> None:
    outbox.lay_schedule(timezone.now())
    outbox.sweep()


@outbox.task("forget_old_rows", every=timedelta(days=1), at=timedelta(hours=2))
def forget_old_rows() -> None:
    housekeeping.forget_old_rows(now=timezone.now())


@outbox.slow_task("close_books", every=timedelta(days=1), at=timedelta(hours=2, minutes=30))
def close_books() -> None:
    closing.close_books(now=timezone.now())


@outbox.task("forget_old_marks", every=timedelta(minutes=10))
def forget_old_marks() -> None:
    housekeeping.forget_old_marks()


@outbox.task("read_absences_again", every=timedelta(days=1), at=timedelta(hours=3))
def read_absences_again() -> None:
    absence_sources.ask_to_read_again(now=timezone.now())


@outbox.slow_task("read_absences")
def read_absences(source_pk: int) -> object:
    return absence_sources.read_again(source_pk=source_pk, now=timezone.now())


@outbox.slow_task("renew_deadlines", every=timedelta(hours=1))
def renew_deadlines() -> None:
    deadlines.renew_all(now=timezone.now())


@outbox.task("ask_for_day_messages", every=timedelta(minutes=15))
def ask_for_day_messages() -> None:
    day_messages.ask_for_messages(now=timezone.now())


@outbox.task("ask_for_prompts", every=timedelta(minutes=15))
def ask_for_prompts() -> None:
    prompts.ask_for_prompts(now=timezone.now())


@outbox.task("write_prompts")
def write_prompts(firm_pk: int, on: str) -> None:
    prompts.write_prompts(firm_pk=firm_pk, on=date.fromisoformat(on), now=timezone.now())


@outbox.slow_task("send_morning")
def send_morning(person_pk: int, on: str) -> object:
    return day_messages.send_morning(person_pk=person_pk, on=date.fromisoformat(on), now=timezone.now())


@outbox.slow_task("send_evening")
def send_evening(firm_pk: int, on: str) -> object:
    return day_messages.send_evening(firm_pk=firm_pk, on=date.fromisoformat(on), now=timezone.now())


@outbox.slow_task("back_up", every=timedelta(days=1), at=timedelta(hours=1), lease=timedelta(hours=2))
def back_up() -> None:
    if settings.BACKUPS_KEPT > 0:
        make_backup(folder=settings.BACKUP_DIR, keep=settings.BACKUPS_KEPT, now=timezone.now())


@outbox.slow_task("send_notice")
def send_notice(notice_pk: int) -> None:
    mailing.send_notice(notice_pk=notice_pk, now=timezone.now())


@outbox.slow_task("send_order_mail")
def send_order_mail(order_pk: int) -> object:
    return order_mail.send_order_mail(order_pk=order_pk, now=timezone.now())


@outbox.slow_task("send_cancel_mail")
def send_cancel_mail(order_pk: int) -> object:
    return order_cancelling.send_cancel_mail(order_pk=order_pk, now=timezone.now())


@outbox.task("plan_when_free")
def plan_when_free(firm_pk: int, user_pk: int) -> None:
    late_orders.plan_when_free(firm_pk=firm_pk, user_pk=user_pk, now=timezone.now())


@outbox.slow_task("run_planner")
def run_planner(run_pk: int) -> None:
    planning.run_planner(run_pk=run_pk, now=timezone.now())


@outbox.slow_task("make_thumbnail")
def make_thumbnail(photo_pk: int) -> None:
    photos.make_thumbnail(photo_pk=photo_pk)


@outbox.slow_task("make_handover_pdf")
def make_handover_pdf(pdf_pk: int) -> object:
    return handover.make_pdf(pdf_pk=pdf_pk, now=timezone.now())


@outbox.slow_task("renew_handover_packs", every=timedelta(hours=1), at=timedelta(minutes=20))
def renew_handover_packs() -> None:
    handover.renew_changed(now=timezone.now())


@outbox.slow_task("make_firm_archive", lease=timedelta(hours=1))
def make_firm_archive(archive_pk: int) -> object:
    return firm_archives.make_archive(archive_pk=archive_pk, now=timezone.now())


@outbox.task("delete_expired_archives", every=timedelta(hours=1), at=timedelta(minutes=40))
def delete_expired_archives() -> None:
    firm_archives.delete_expired_archives(now=timezone.now())

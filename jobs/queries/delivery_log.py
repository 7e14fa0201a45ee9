"""What a contact was told of each visit, how it reached them, and what came back."""

from dataclasses import dataclass
from datetime import datetime

from jobs.core.slots import Slot
from jobs.models import Contact, Delivery, SecretLink, ToldDate
from jobs.queries.channels import load_waiting
from jobs.queries.told import told_slot

LATEST_DATES = 30


@dataclass(frozen=True)
class LogRow:
    """`sequences` are those of the calendar messages that went with it; `fetched_at`: when their calendar was last read
    since, None when it was not."""

    told: ToldDate
    slot: Slot | None
    delivery: Delivery | None
    leaves_at: datetime | None
    sequences: tuple[int, ...]
    prompted_at: tuple[datetime, ...]
    fetched_at: datetime | None


def load_delivery_log(contact: Contact, now: datetime) -> list[LogRow]:
    """The newest first, in a fixed number of queries."""
    related = ("notice__delivery__passed_by__person", "visit__kind", "visit__area", "visit__job")
    rows = ToldDate.objects.filter(notice__contact=contact).select_related(*related)
    rows = rows.prefetch_related("invitation_messages", "prompts__notice").order_by("-told_at", "-pk")[:LATEST_DATES]
    waiting = load_waiting([row.notice for row in rows], now)
    fetched = SecretLink.objects.filter(contact=contact, purpose=SecretLink.Purpose.TRADE_FEED).first()
    return [_row(row, waiting.get(row.notice_id), fetched.last_used_at if fetched else None) for row in rows]


def _row(told: ToldDate, leaves_at: datetime | None, fetched_at: datetime | None) -> LogRow:
    return LogRow(
        told=told,
        slot=told_slot(told),
        delivery=getattr(told.notice, "delivery", None),
        leaves_at=leaves_at,
        sequences=tuple(sorted({message.sequence for message in told.invitation_messages.all()})),
        prompted_at=tuple(sorted(prompt.notice.made_at for prompt in told.prompts.all())),
        fetched_at=fetched_at if fetched_at and fetched_at >= told.told_at else None,
    )

"""What a contact was last told about their visits, as their own page and the office show it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from jobs.core.slots import Slot
from jobs.core.stages import Half
from jobs.models import Contact, Job, SuggestedDay, ToldDate, Visit
from jobs.queries.hold_points import load_awaiting

SHOWN_AFTER = timedelta(days=14)
ANSWERABLE = (Visit.State.ASKED, Visit.State.ACCEPTED, Visit.State.DECLINED)


@dataclass(frozen=True)
class TradeDate:
    """One visit with the date its trade was told."""

    told: ToldDate
    visit: Visit
    slot: Slot
    awaits_go_ahead: bool
    is_over: bool
    suggested: tuple[SuggestedDay, ...] = ()

    @property
    def can_answer(self) -> bool:
        return not self.is_over and self.visit.state in ANSWERABLE

    @property
    def needs_answer(self) -> bool:
        return self.can_answer and self.visit.state == Visit.State.ASKED


def told_slot(told: ToldDate | None) -> Slot | None:
    """The slot that somebody was told; None when nothing stands."""
    if told is None or told.starts_on is None:
        return None
    return Slot(told.starts_on, Half(told.starts_half or Half.MORNING), told.ends_on, Half(told.ends_half or Half.AFTERNOON))


def load_told(firm_pk: int, **only: object) -> dict[tuple[int, int], ToldDate]:
    """(contact, visit) → what stands between the two."""
    related = ("notice__contact", "visit__kind", "visit__area", "visit__job")
    rows = ToldDate.objects.filter(firm_id=firm_pk, notice__contact__isnull=False, **only).select_related(*related)
    return {(row.notice.contact_id, row.visit_id): row for row in rows.order_by("told_at", "pk")}


def find_told(visit: Visit) -> ToldDate | None:
    """What the visit's contact was last told about it."""
    rows = ToldDate.objects.filter(visit=visit, notice__contact=visit.contact_id)
    return rows.select_related("notice").order_by("told_at", "pk").last()


def load_trade_dates(contact: Contact, today: date) -> list[TradeDate]:
    """Their dates to come and those just over, the earliest first; nobody else's."""
    told = load_told(contact.firm_id, notice__contact=contact, visit__contact=contact).values()
    shown = [row for row in told if row.starts_on and row.ends_on >= today - SHOWN_AFTER]
    shown = [row for row in shown if row.visit.state != Visit.State.CANCELLED]
    awaiting = load_awaiting(row.visit for row in shown)
    days = load_suggested_days(shown)
    dates = [_trade_date(row, row.visit_id in awaiting, days.get(row.pk, ()), today) for row in shown]
    return sorted(dates, key=lambda row: (row.slot, row.visit.pk))


def list_suggesting(firm_pk: int) -> list[Visit]:
    """Visits of jobs that go on whose trade suggested other days than it was last told."""
    told = load_told(firm_pk, visit__state=Visit.State.DECLINED, answer=ToldDate.Answer.SUGGESTED)
    over = (Job.State.HANDED_OVER, Job.State.DROPPED)
    theirs = (row.visit for (contact, _), row in told.items() if row.visit.contact_id == contact)
    return [visit for visit in theirs if visit.job.state not in over]


def load_suggested_days(told_dates: Iterable[ToldDate]) -> dict[int, tuple[SuggestedDay, ...]]:
    """Told date pk → the days suggested instead of it."""
    days: dict[int, tuple[SuggestedDay, ...]] = {}
    against = [told for told in told_dates if told.answer == ToldDate.Answer.SUGGESTED]
    for day in SuggestedDay.objects.filter(told__in=against).order_by("on", "half") if against else ():
        days[day.told_id] = (*days.get(day.told_id, ()), day)
    return days


def _trade_date(
    told: ToldDate, awaits_go_ahead: bool, suggested: tuple[SuggestedDay, ...], today: date
) -> TradeDate:
    is_over = told.visit.state == Visit.State.DONE or told.ends_on < today
    return TradeDate(told, told.visit, told_slot(told), awaits_go_ahead, is_over, suggested)

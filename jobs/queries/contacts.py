"""Contacts with their visits, what they were told and answered: the Trades pages."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from django.db.models import Max, Q, QuerySet

from jobs.core.slots import Slot
from jobs.core.stages import Trade
from jobs.models import Contact, ContactAway, Delivery, Firm, Job, Notice, Person, Span, ToldDate, Visit
from jobs.queries.attendance import span_slot
from jobs.queries.channels import leaves_by_itself, load_waiting
from jobs.queries.hold_points import load_awaiting
from jobs.queries.plans import find_issued
from jobs.queries.told import find_told, load_told, told_slot

LIVE_JOBS = ~Q(job__state__in=(Job.State.HANDED_OVER, Job.State.DROPPED))
LATEST_NOTICES = 50


@dataclass(frozen=True)
class VisitRow:
    """A visit with the date its trade was told, if any, and the date of the issued plan."""

    visit: Visit
    told: ToldDate | None
    told_as: Slot | None
    planned_as: Slot | None
    awaits_go_ahead: bool

    @property
    def is_waiting(self) -> bool:
        return self.visit.state == Visit.State.ASKED

    @property
    def is_over(self) -> bool:
        return self.visit.state == Visit.State.DONE


@dataclass(frozen=True)
class NoticeRow:
    """`leaves_at`: it waits in the outbox until then."""

    notice: Notice
    delivery: Delivery | None
    leaves_at: datetime | None

    @property
    def recipient(self) -> Contact | Person:
        return self.notice.contact or self.notice.person

    @property
    def waits_for_a_hand(self) -> bool:
        return self.delivery is None and not leaves_by_itself(self.notice)


@dataclass(frozen=True)
class ContactRow:
    contact: Contact
    visits: list[VisitRow]
    last_notice: Notice | None

    @property
    def ahead(self) -> list[VisitRow]:
        return [row for row in self.visits if not row.is_over]

    @property
    def over(self) -> list[VisitRow]:
        return [row for row in self.visits if row.is_over]


@dataclass(frozen=True)
class TradeGroup:
    trade: str
    contacts: list[ContactRow]


def load_trades(firm: Firm, rows: dict[int | None, list[VisitRow]]) -> list[TradeGroup]:
    """Every contact with their visits under their trade, in the trades' usual order, customers last."""
    notices = _last_notices(firm)
    contacts = Contact.objects.filter(firm=firm)
    in_order = sorted(contacts, key=lambda contact: (_trade_position(contact.trade), contact.name))
    return [
        TradeGroup(Trade(trade).label, [ContactRow(one, rows.get(one.pk, []), notices.get(one.pk)) for one in of_trade])
        for trade, of_trade in groupby(in_order, key=lambda contact: contact.trade)
    ]


def load_visit_rows(firm: Firm, **only: object) -> dict[int | None, list[VisitRow]]:
    """Contact pk → visits on jobs that go on; None → visits nobody is chosen for yet. Cancelled ones are left out."""
    visits = Visit.objects.filter(LIVE_JOBS, firm=firm, **only).exclude(state=Visit.State.CANCELLED)
    visits = list(visits.select_related("kind", "area", "job", "contact"))
    told, planned, awaiting = load_told(firm.pk), _planned_slots(firm), load_awaiting(visits)
    rows: dict[int | None, list[VisitRow]] = defaultdict(list)
    for visit in visits:
        last = told.get((visit.contact_id, visit.pk))
        row = VisitRow(visit, last, told_slot(last), planned.get(visit.pk), visit.pk in awaiting)
        rows[visit.contact_id].append(row)
    for of_contact in rows.values():
        of_contact.sort(key=_when)
    return rows


def load_visit_row(visit: Visit) -> VisitRow:
    told = find_told(visit)
    planned = _planned_slots(visit.firm).get(visit.pk)
    return VisitRow(visit, told, told_slot(told), planned, bool(load_awaiting([visit])))


def list_notices(firm: Firm, now: datetime, **only: object) -> list[NoticeRow]:
    """What was last told, the newest first, and how it left or is to leave."""
    related = ("delivery__passed_by__person", "plan", "firm", "contact", "person")
    notices = Notice.objects.filter(firm=firm, **only).select_related(*related).order_by("-made_at", "-pk")
    newest = list(notices[:LATEST_NOTICES])
    waiting = load_waiting(newest, now)
    return [NoticeRow(notice, getattr(notice, "delivery", None), waiting.get(notice.pk)) for notice in newest]


def list_times_away(contact: Contact, today: date) -> QuerySet[ContactAway]:
    """Days a contact cannot work that are not over."""
    return contact.times_away.filter(ends_on__gte=today)


def list_choosable(firm: Firm, trade: str) -> list[Contact]:
    """Who could be asked for a visit: the visit's own trade first."""
    others = Contact.objects.filter(firm=firm).exclude(trade=Trade.CUSTOMER)
    return sorted(others, key=lambda contact: (contact.trade != trade, _trade_position(contact.trade), contact.name))


def _planned_slots(firm: Firm) -> dict[int, Slot]:
    issued = find_issued(firm)
    spans: Iterable[Span] = issued.spans.filter(visit__isnull=False) if issued else ()
    return {span.visit_id: span_slot(span) for span in spans}


def _last_notices(firm: Firm) -> dict[int, Notice]:
    newest = Notice.objects.filter(firm=firm, contact__isnull=False).values("contact").annotate(newest=Max("pk"))
    notices = Notice.objects.filter(pk__in=newest.values("newest"))
    return {notice.contact_id: notice for notice in notices}


def _trade_position(trade: str) -> int:
    order = [known for known in Trade if known != Trade.CUSTOMER] + [Trade.CUSTOMER]
    return order.index(Trade(trade))


def _when(row: VisitRow) -> tuple[bool, object, int]:
    slot = row.told_as or row.planned_as
    return (slot is None, slot.starts_on if slot else 0, row.visit.pk)

"""Messages the office keeps in: of a draft, and of the issued plan until somebody is told."""

from dataclasses import dataclass
from datetime import datetime

from jobs.models import Contact, Firm, HeldBack, Person, Plan
from jobs.queries.firm_calendar import local_today
from jobs.queries.notices import Letter, load_crew_letters, load_trade_letters
from jobs.queries.plans import find_issued


@dataclass(frozen=True)
class Untold:
    """What somebody does not know yet of the plan that is issued."""

    held: HeldBack
    letter: Letter


def load_held(plan: Plan) -> dict[Contact | Person, HeldBack]:
    """Recipient → why a draft's message to them is kept in."""
    return {row.recipient: row for row in plan.held_back.select_related("held_by__person", "contact", "person")}


def load_untold(firm: Firm, now: datetime) -> list[Untold]:
    """Who was not told when the plan was issued, with what they would hear now."""
    issued = find_issued(firm)
    held = load_held(issued) if issued else {}
    if not held:
        return []
    today = local_today(firm, now)
    found = [*load_trade_letters(issued, find_before(issued), today), *load_crew_letters(issued, today, now)]
    letters = {letter.recipient: letter for letter in found}
    return [Untold(row, letters[who]) for who, row in held.items() if who in letters and not _was_told(row)]


def is_untold(contact: Contact) -> bool:
    """Whether the issued plan was kept from them."""
    held = HeldBack.objects.filter(contact=contact, plan__state=Plan.State.ISSUED).first()
    return held is not None and not _was_told(held)


def find_before(issued: Plan) -> Plan | None:
    """The plan that people held before this one."""
    return Plan.objects.filter(firm_id=issued.firm_id, state=Plan.State.REPLACED).order_by("-issued_at", "-pk").first()


def _was_told(held: HeldBack) -> bool:
    return held.plan.notices.filter(contact=held.contact_id, person=held.person_id).exists()

"""Not telling somebody what a plan changes for them: said before it is issued, with a reason, and made up for later."""

from datetime import datetime

from django.db import transaction

from jobs.actions.calendar_entries import show_anew
from jobs.actions.notices import write_letters
from jobs.actions.permission import Refused, require_office
from jobs.models import Contact, HeldBack, Notice, Plan, User
from jobs.queries.firm_calendar import local_today
from jobs.queries.held_back import load_untold


@transaction.atomic
def hold_back(*, plan: Plan, contact: Contact, reason: str, by: User, now: datetime) -> HeldBack:
    """Keep a contact's message in when this draft is issued; for them, what they were told before stands."""
    require_office(by, plan, contact)
    reason = " ".join(reason.split())
    plan = Plan.objects.select_for_update().get(pk=plan.pk)
    if plan.state != Plan.State.DRAFT:
        raise Refused("This plan was issued already: its messages have left.")
    if not reason:
        raise Refused("Say why, for whoever looks later.", field="reason")
    if plan.held_back.filter(contact=contact).exists():
        raise Refused(f"The message to {contact} is held back already.")
    return HeldBack.objects.create(
        firm_id=plan.firm_id, plan=plan, contact=contact, reason=reason, held_by=by, held_at=now
    )


@transaction.atomic
def let_go(*, held: HeldBack, by: User) -> None:
    """Let the message leave with the others after all."""
    require_office(by, held)
    if Plan.objects.select_for_update().get(pk=held.plan_id).state != Plan.State.DRAFT:
        raise Refused("This plan was issued without them. Tell them now instead.")
    held.delete()


@transaction.atomic
def tell_held_back(*, held: HeldBack, by: User, now: datetime) -> Notice:
    """Tell a contact what was kept from them when the plan was issued."""
    require_office(by, held)
    plan = Plan.objects.select_for_update(of=("self",)).select_related("firm").get(pk=held.plan_id)
    untold = load_untold(plan.firm, local_today(plan.firm, now))
    letters = [each.letter for each in untold if each.held == held]
    if not letters:
        raise Refused("There is nothing left to tell them: they know, or a newer plan says something else.")
    (notice,) = write_letters(letters=letters, plan=plan, now=now)
    show_anew(firm=plan.firm, visits=[visit for visit, _ in letters[0].told], now=now)
    return notice

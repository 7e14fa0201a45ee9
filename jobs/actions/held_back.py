"""Not telling somebody what a plan changes for them: said before it is issued, with a reason, and made up for later."""

from datetime import datetime

from django.db import transaction

from jobs.actions.calendar_entries import show_anew
from jobs.actions.notices import write_letters
from jobs.actions.permission import Refused, require_office
from jobs.models import Contact, HeldBack, Notice, Person, Plan, User
from jobs.queries.held_back import load_untold


@transaction.atomic
def hold_back(*, plan: Plan, recipient: Contact | Person, reason: str, by: User, now: datetime) -> HeldBack:
    """Keep somebody's message in when this draft is issued.

    For a contact, what they were told before stands, in their calendar too; the crew's own pages follow the plan.
    """
    require_office(by, plan, recipient)
    named = {"person" if isinstance(recipient, Person) else "contact": recipient}
    reason = " ".join(reason.split())
    plan = Plan.objects.select_for_update().get(pk=plan.pk)
    if plan.state != Plan.State.DRAFT:
        raise Refused("This plan was issued already: its messages have left.")
    if not reason:
        raise Refused("Say why, for whoever looks later.", field="reason")
    if plan.held_back.filter(**named).exists():
        raise Refused(f"The message to {recipient} is held back already.")
    return HeldBack.objects.create(firm_id=plan.firm_id, plan=plan, reason=reason, held_by=by, held_at=now, **named)


@transaction.atomic
def let_go(*, held: HeldBack, by: User) -> None:
    """Let the message leave with the others after all."""
    require_office(by, held)
    if Plan.objects.select_for_update().get(pk=held.plan_id).state != Plan.State.DRAFT:
        raise Refused("This plan was issued without them. Tell them now instead.")
    held.delete()


@transaction.atomic
def tell_held_back(*, held: HeldBack, by: User, now: datetime) -> Notice:
    """Tell somebody what was kept from them when the plan was issued."""
    require_office(by, held)
    plan = Plan.objects.select_for_update(of=("self",)).select_related("firm").get(pk=held.plan_id)
    untold = load_untold(plan.firm, now)
    letters = [each.letter for each in untold if each.held == held]
    if not letters:
        raise Refused("There is nothing left to tell them: they know, or a newer plan says something else.")
    (notice,) = write_letters(letters=letters, plan=plan, now=now)
    show_anew(firm=plan.firm, visits=[visit for visit, _ in letters[0].told], now=now)
    return notice

"""Invitations in trades' calendars: written with a notice, so that their calendar shows what the words say."""

from collections import Counter
from collections.abc import Iterable

from jobs.core.invitations import Method, Step
from jobs.models import Invitation, InvitationMessage, Notice, ToldDate
from jobs.queries.invitations import load_standing
from jobs.queries.reply_addresses import organizer_address


def write_invitations(due: Iterable[tuple[Notice, ToldDate, Step]]) -> list[InvitationMessage]:
    """Write each step as a message of its notice; the first of a notice travels with its words."""
    due = list(due)
    standing = load_standing(told for _, told, _ in due)
    stepped = [_take_step(notice, told, step, standing) for notice, told, step in due]
    Invitation.objects.bulk_create([row for row in stepped if row.pk is None])
    Invitation.objects.bulk_update([row for row in stepped if row.sequence], ["sequence", "is_gone"], batch_size=100)
    numbers: Counter[int] = Counter()
    messages = []
    for (notice, told, step), invitation in zip(due, stepped, strict=True):
        numbers[notice.pk] += 1
        messages.append(_message(notice, told, invitation, step, numbers[notice.pk]))
    return InvitationMessage.objects.bulk_create(messages)


def _take_step(notice: Notice, told: ToldDate, step: Step, standing: dict) -> Invitation:
    """The invitation the step is about: a new identity for a new run, one number up for a known one."""
    rows = standing.get((notice.contact_id, told.visit_id), ())
    invitation = next((row for row in rows if row.run == step.run), None)
    if invitation is None:
        return Invitation(
            firm_id=notice.firm_id, contact_id=notice.contact_id, visit_id=told.visit_id, run=step.run,
            organizer=organizer_address(notice.contact),
        )
    invitation.sequence += 1
    invitation.is_gone = step.method == Method.CANCEL
    return invitation


def _message(
    notice: Notice, told: ToldDate, invitation: Invitation, step: Step, number: int
) -> InvitationMessage:
    shown = step.shown
    return InvitationMessage(
        firm_id=notice.firm_id,
        notice=notice,
        invitation=invitation,
        told=told,
        number=number,
        method=step.method,
        sequence=invitation.sequence,
        starts_at=shown.stretch.starts_at,
        ends_at=shown.stretch.ends_at,
        is_all_day=shown.stretch.is_all_day,
        is_tentative=shown.is_tentative,
        summary=shown.summary,
        description=shown.description,
        place=shown.place,
        made_at=notice.made_at,
    )

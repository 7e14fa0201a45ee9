"""Issuing: the draft becomes the plan people hold, and notices of what changed are written with it."""

from datetime import datetime

from django.db import transaction

from jobs.actions.calendar_entries import renew_deadlines, renew_entries, show_anew
from jobs.actions.notices import write_notices
from jobs.actions.permission import Refused, require_office
from jobs.actions.plan_rows import CHANGED_MEANWHILE
from jobs.models import Plan, User, Visit
from jobs.queries.held_back import load_untold
from jobs.queries.plans import find_issued


@transaction.atomic
def issue_plan(*, plan: Plan, version: int, by: User, now: datetime) -> Plan:
    """Issue the draft as it was reviewed, once: plan, notices and calendar entries together, or nothing."""
    require_office(by, plan)
    draft = Plan.objects.select_for_update(of=("self",)).select_related("firm", "issued_by").get(pk=plan.pk)
    _refuse_unissuable(draft, version)
    previous = find_issued(draft.firm)
    untold = {each.held.recipient for each in load_untold(draft.firm, now)}
    if previous:
        previous.state = Plan.State.REPLACED
        previous.save(update_fields=["state"])
    draft.state, draft.issued_at, draft.issued_by = Plan.State.ISSUED, now, by
    draft.save(update_fields=["state", "issued_at", "issued_by"])
    notices = write_notices(plan=draft, previous=previous, by=by, now=now)
    renew_entries(plan=draft, now=now)
    late = [notice for notice in notices if notice.contact in untold]
    show_anew(firm=draft.firm, visits=Visit.objects.filter(told_dates__notice__in=late), now=now)
    renew_deadlines(firm=draft.firm, now=now)
    return draft


def _refuse_unissuable(draft: Plan, version: int) -> None:
    if draft.state != Plan.State.DRAFT:
        raise Refused("This plan was issued already. Nobody is told twice.")
    if draft.version != version:
        raise Refused(CHANGED_MEANWHILE, field="version")
    if not draft.spans.exists():
        raise Refused("There is nothing in this plan. Plan again first.")

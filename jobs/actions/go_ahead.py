"""The cover-up gate: a trade that closes walls or ceilings hears its final go-ahead from a named person."""

from datetime import datetime

from django.db import transaction

from jobs.actions.notices import write_go_ahead
from jobs.actions.permission import Refused, require_office
from jobs.models import GoAhead, User, Visit
from jobs.queries.go_ahead import Gate, load_gate

COMING = (Visit.State.ASKED, Visit.State.ACCEPTED)


@transaction.atomic
def give_go_ahead(*, visit: Visit, by: User, override_reason: str = "", now: datetime) -> GoAhead:
    """Tell the visit's contact that they may cover up: once all is recorded, or with the reason why it may be so anyway."""
    require_office(by, visit)
    related = ("firm", "kind", "job", "area", "contact")
    visit = Visit.objects.select_related(*related).select_for_update(of=("self",)).get(pk=visit.pk)
    gate, reason = load_gate(visit), " ".join(override_reason.split())
    _refuse_too_early(gate)
    _refuse_incomplete(gate, reason)
    notice = write_go_ahead(visit=visit, now=now)
    return GoAhead.objects.create(
        firm=visit.firm, visit=visit, contact=visit.contact, notice=notice, given_by=by, given_at=now,
        missing=gate.words, override_reason=reason if gate.words else "",
    )


def _refuse_too_early(gate: Gate) -> None:
    visit = gate.visit
    if not visit.kind.covers_up:
        raise Refused(f"{visit} covers nothing up, so it needs no go-ahead.")
    if visit.contact is None:
        raise Refused("Say who comes first: the go-ahead goes to them.")
    if visit.state not in COMING:
        raise Refused(f"This visit is {visit.get_state_display().lower()}. They need a date before their go-ahead.")
    if gate.given and gate.given.missing == gate.words:
        raise Refused("They have their go-ahead already.")


def _refuse_incomplete(gate: Gate, reason: str) -> None:
    if gate.words and not reason:
        more = f", and {len(gate.words) - 1} more" if len(gate.words) > 1 else ""
        raise Refused(
            f"Not everything is recorded: {gate.words[0]}{more}. Have it recorded on site, or give the reason why it "
            "may be covered up all the same.",
            field="override_reason",
        )

"""Taking over what finished work says: a norm changes when a person says so, and says where it comes from."""

from decimal import Decimal

from django.db import transaction

from jobs.actions.catalogue_versions import keep_version, start_history
from jobs.actions.permission import Refused, require_office
from jobs.models import LabourNorm, User
from jobs.queries.learning import OWN_RECORDS, Suggestion, find_suggestion, is_learned

CHANGED_MEANWHILE = "More work was finished, or the hours were changed, since you looked. Look at the figures again."


@transaction.atomic
def accept_suggestion(*, norm: LabourNorm, hours: Decimal, by: User) -> LabourNorm:
    """Put the suggested hours in place of a norm's. `hours` is what the person saw; if it is another now, nothing changes."""
    require_office(by, norm)
    norm = LabourNorm.objects.select_for_update(of=("self",)).select_related("firm", "point_kind").get(pk=norm.pk)
    found = find_suggestion(norm)
    if found is None or found.suggested_hours != hours:
        raise Refused(CHANGED_MEANWHILE, field="hours")
    start_history(firm=norm.firm, by=by)
    had = norm.labour_hours
    _take_in(norm, found)
    norm.save()
    keep_version(firm=norm.firm, by=by, what=f"Learned hours of “{norm}”: {had} → {norm.labour_hours}")
    return norm


def _take_in(norm: LabourNorm, found: Suggestion) -> None:
    had = (norm.learned_packages, norm.learned_weight) if is_learned(norm) else (0, Decimal(0))
    norm.labour_hours = found.suggested_hours
    norm.low_hours = min(norm.low_hours, found.suggested_hours)
    norm.high_hours = max(norm.high_hours, found.suggested_hours)
    norm.learned_packages = had[0] + found.packages
    norm.learned_weight = had[1] + round(Decimal(found.weight), 2)
    norm.learned_until = found.last_at
    norm.source = f"{OWN_RECORDS}, {norm.learned_packages} package{'' if norm.learned_packages == 1 else 's'}"

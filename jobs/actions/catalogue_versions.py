"""The history of the catalogue: every change of its figures is a version, and a job keeps the one its take-off used."""

from django.db import transaction
from django.utils import timezone

from jobs.core.catalogue_text import write_figures
from jobs.models import CatalogueVersion, Firm, User
from jobs.queries.takeoff import load_catalogue

STARTED_WITH = "The catalogue as it was first used"
CHANGED_ELSEWHERE = "Changed beside the catalogue's own pages"
MOST_WORDS = 300


@transaction.atomic
def keep_version(*, firm: Firm, by: User | None, what: str = "") -> CatalogueVersion:
    """The version with the firm's figures of today: the latest, or a new one where something changed since."""
    firm = Firm.objects.get(pk=firm.pk)
    figures, latest = write_figures(load_catalogue(firm)), _latest(firm)
    if latest and latest.figures == figures:
        return latest
    Firm.objects.select_for_update(no_key=True).get(pk=firm.pk)
    latest = _latest(firm)
    words = what or (CHANGED_ELSEWHERE if latest else STARTED_WITH)
    return CatalogueVersion.objects.create(
        firm=firm, number=latest.number + 1 if latest else 1, figures=figures, what=words[:MOST_WORDS], made_by=by,
        made_at=timezone.now(),
    )


def start_history(*, firm: Firm, by: User) -> None:
    """Before a first change: the figures as they were."""
    if _latest(firm) is None:
        keep_version(firm=firm, by=by)


def _latest(firm: Firm) -> CatalogueVersion | None:
    return CatalogueVersion.objects.filter(firm=firm).order_by("-number").first()

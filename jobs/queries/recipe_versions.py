"""Which recipes a job's take-off uses, what changed in the catalogue since, and what taking off again would change."""

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet

from jobs.core import catalogue as figures
from jobs.core import takeoff as core
from jobs.core.catalogue_text import write_figures
from jobs.models import CatalogueVersion, Firm, Item, Job
from jobs.queries.takeoff import list_materials, load_catalogue, load_house, load_job_catalogue


@dataclass(frozen=True)
class MaterialChange:
    item: Item
    had: Decimal
    would_be: Decimal


@dataclass(frozen=True)
class RecipeState:
    """`kept`: the job's version, None before its first programme. `hours` are (had, would be)."""

    kept: CatalogueVersion | None
    is_current: bool
    since: tuple[CatalogueVersion, ...] = ()
    hours: tuple[Decimal, Decimal] | None = None
    materials: tuple[MaterialChange, ...] = ()

    @property
    def changes_hours(self) -> bool:
        return self.hours is not None and self.hours[0] != self.hours[1]

    @property
    def changes_nothing(self) -> bool:
        return not self.changes_hours and not self.materials


def list_versions(firm: Firm) -> QuerySet[CatalogueVersion]:
    """The history of a firm's catalogue, the latest first, without its figures."""
    return CatalogueVersion.objects.filter(firm=firm).defer("figures").select_related("made_by__person").order_by("-number")


def load_recipe_state(job: Job) -> RecipeState:
    kept = job.catalogue_version
    if kept is None:
        return RecipeState(None, True)
    today = load_catalogue(job.firm)
    if kept.figures == write_figures(today):
        return RecipeState(kept, True)
    house, had = load_house(job), load_job_catalogue(job)
    since = tuple(list_versions(job.firm).filter(number__gt=kept.number))
    hours = (_hours(house, had), _hours(house, today))
    return RecipeState(kept, False, since, hours, tuple(_changes(job, house, had, today)))


def _hours(house: core.HouseSurvey, catalogue: figures.Catalogue) -> Decimal:
    return sum((task.hours for task in core.list_tasks(house, catalogue)), Decimal(0))


def _changes(job: Job, house: core.HouseSurvey, had: figures.Catalogue, today: figures.Catalogue) -> list[MaterialChange]:
    before, after = _totals(house, had), _totals(house, today)
    items = Item.objects.filter(firm_id=job.firm_id, code__in={*before, *after}).order_by("name")
    changes = (MaterialChange(item, before[item.code], after[item.code]) for item in items)
    return [change for change in changes if change.had != change.would_be]


def _totals(house: core.HouseSurvey, catalogue: figures.Catalogue) -> dict[str, Decimal]:
    totals: dict[str, Decimal] = defaultdict(Decimal)
    for material in list_materials(house, catalogue):
        totals[material.item] += material.quantity
    return totals

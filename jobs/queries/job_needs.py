"""What a job takes of each item, set against stock and orders."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from jobs.core.stages import Stage
from jobs.models import Item, Job, MaterialNeed, Plan
from jobs.queries.needs import find_last_need, load_needs
from jobs.queries.stock import ShortageRow, load_stores_until


@dataclass(frozen=True)
class NeedRow:
    """What the job takes of an item by stage, what it still lacks, and what lies where the firm can use it.

    `shortages` tell when stock and orders do not cover it.
    """

    item: Item
    by_stage: dict[str, Decimal]
    still: Decimal
    on_hand: Decimal
    shortages: tuple[ShortageRow, ...]

    @property
    def quantity(self) -> Decimal:
        return sum(self.by_stage.values(), Decimal(0))

    @property
    def stages(self) -> str:
        return ", ".join(Stage(stage).label.lower() for stage in Stage if stage in self.by_stage)


def list_needs(job: Job, plan: Plan | None, now: datetime) -> list[NeedRow]:
    """What the job takes, cable first."""
    stores = load_stores_until(job.firm, plan, now, find_last_need(job, plan))
    still: dict[int, Decimal] = defaultdict(Decimal)
    for need in load_needs(job.firm, plan, job).requirements:
        still[need.item] += need.quantity
    ours = {place.pk for place in stores.places}
    short: dict[int, list[ShortageRow]] = defaultdict(list)
    for row in stores.shortages:
        if row.package.job_id == job.pk:
            short[row.item.pk].append(row)
    rows = [
        NeedRow(stores.items[item], by_stage, still[item], stores.balances.total(item, ours), tuple(short[item]))
        for item, by_stage in _by_stage(job).items()
    ]
    return sorted(rows, key=lambda row: (not row.item.is_cable, row.item.name))


def _by_stage(job: Job) -> dict[int, dict[str, Decimal]]:
    found: dict[int, dict[str, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    needs = MaterialNeed.objects.filter(package__job=job)
    for item, stage, quantity in needs.values_list("item_id", "package__stage", "quantity"):
        found[item][stage] += quantity
    return found


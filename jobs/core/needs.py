"""What packages still take: the take-off's needs less what was used already."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

ZERO = Decimal(0)


@dataclass(frozen=True)
class Need:
    """What the take-off says a package of a job takes of an item."""

    package: int
    job: int
    item: int
    quantity: Decimal


def left_to_take(
    needs: Iterable[Need], used_by_package: Mapping[tuple[int, int], Decimal], used_by_job: Mapping[tuple[int, int], Decimal]
) -> dict[tuple[int, int], Decimal]:
    """(package, item) → what is still to be taken, above zero. `needs` come in the order of the plan.

    `used_by_package` is keyed (package, item): what ticks took. `used_by_job` is keyed (job, item): what was used on
    the job without saying where; it serves the job's packages in order. Whatever was used beyond a package's need
    lessens no other's.
    """
    loose = defaultdict(Decimal, used_by_job)
    left = {}
    for need in needs:
        wanted = max(ZERO, need.quantity - max(ZERO, used_by_package.get((need.package, need.item), ZERO)))
        served = min(wanted, max(ZERO, loose[need.job, need.item]))
        loose[need.job, need.item] -= served
        if wanted > served:
            left[need.package, need.item] = wanted - served
    return left

"""What must be read before power goes on: dead tests of each circuit, and what is read at the origin.

Lines of the checklist that stand for power are held while anything of it is missing or out, unless the office let power
on all the same, with a reason: that covers what held then, and nothing new.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from django.db.models import QuerySet

from jobs.core.stages import RoomKind
from jobs.models import Circuit, Job, PowerOverride, Room
from jobs.queries.circuits import load_schedule
from jobs.queries.readings import Sheet, WhenTested, load_sheets
from jobs.queries.supply_readings import SupplySheet

POWER_LINE = "check:T9"
"""The line of the test that stands for putting power on."""
POWER_LINES = (POWER_LINE, "check:T5", "check:T6", "check:T7")
"""Lines that cannot be done without power: where a firm's checklist has none for putting it on, they hold as well."""
SUPPLY = "supply"


@dataclass(frozen=True)
class PowerHold:
    """A circuit, or the supply where there is none, that power waits for, and why, a sentence each."""

    circuit: Circuit | None
    holds: tuple[str, ...]

    @property
    def key(self) -> str:
        """As a form names it."""
        return str(self.circuit.pk) if self.circuit else SUPPLY

    @property
    def of_what(self) -> str:
        return self.circuit.reference if self.circuit else "Supply"

    @property
    def words(self) -> str:
        more = f", and {len(self.holds) - 1} more" if len(self.holds) > 1 else ""
        return f"{self.of_what}: {self.holds[0].rstrip('.')}{more}"


def load_power_holds(job: Job) -> list[PowerHold]:
    """What holds power in the house, the supply first; nothing where no circuit has points yet."""
    schedule = load_schedule(job)
    return list_power_holds(schedule.supply_sheet, load_sheets(job, WhenTested.END, schedule), list_power_overrides(job))


def load_room_power_holds(room: Room) -> list[PowerHold]:
    """What holds it in a room: its own circuits and the supply; at the consumer unit the supply."""
    own = set(room.points.filter(is_dropped=False).exclude(circuit=None).values_list("circuit_id", flat=True))
    if not own and room.kind != RoomKind.BOARD:
        return []
    return [hold for hold in load_power_holds(room.job) if hold.circuit is None or hold.circuit.pk in own]


def list_power_holds(
    supply: SupplySheet, sheets: Collection[Sheet], overrides: Iterable[PowerOverride]
) -> list[PowerHold]:
    released: dict[int | None, set[str]] = defaultdict(set)
    for row in overrides:
        released[row.circuit_id].update(row.holds)
    return list(_holding(supply, sheets, released)) if sheets else []


def list_power_overrides(job: Job) -> QuerySet[PowerOverride]:
    return PowerOverride.objects.filter(job=job).select_related("circuit", "given_by__person")


def _holding(
    supply: SupplySheet, sheets: Iterable[Sheet], released: dict[int | None, set[str]]
) -> Iterator[PowerHold]:
    for circuit, holds in [(None, supply.holds), *((sheet.circuit, sheet.holds_power) for sheet in sheets)]:
        left = tuple(words for words in holds if words not in released[circuit.pk if circuit else None])
        if left:
            yield PowerHold(circuit, left)

"""A consumer unit: which circuit sits on which way, spare ways, the order, its labels, and the rows of the circuit chart.

Numbers and words only; drawing is done elsewhere from them. Widths in modules of 17.5 mm (common practice, no source).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import ceil

from jobs.core.electrics.checks import Check, Outcome
from jobs.core.electrics.circuit import Circuit, Device, Supply
from jobs.core.electrics.fault_loop import cold_limit_ohms, far_end_ohms, printed, zs_limit_ohms
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.electrics.rules import Rule
from jobs.core.figures import plain
from jobs.core.stages import CircuitKind

MODULE_MM = Decimal("17.5")
SWITCH_MODULES = 2
SURGE_MODULES = 2
UNIT_WAYS = (4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 30, 36, 44)
"""Usual sizes of consumer units, in ways for one-module devices beside the main switch (common practice, no source)."""
NOTICES = (
    "Press the test button of each RCD every six months. It must switch off; if it does not, call an electrician.",
    "Dangerous voltage inside. Isolate before removing the cover.",
)


@dataclass(frozen=True)
class Way:
    """`number` from the main switch outwards; `circuit` None for a spare. `left_modules`: where it begins on the rail."""

    number: int
    circuit: Circuit | None
    left_modules: int

    @property
    def words(self) -> str:
        """Its line of the drawing: number, circuit and device; or that it is spare."""
        if self.circuit is None:
            return f"{self.number} · spare"
        device = self.circuit.device.name if self.circuit.device else "device not chosen"
        return f"{self.number} · {self.circuit.reference} · {self.circuit.name} · {device}"

    @property
    def label(self) -> str:
        """What is stuck under the device."""
        return f"{self.number} {self.circuit.name}" if self.circuit else f"{self.number} Spare"


@dataclass(frozen=True)
class Board:
    """The rail from left to right: main switch, surge device if any, then the ways."""

    ways: tuple[Way, ...]
    has_surge_device: bool

    @property
    def spare_ways(self) -> int:
        """How many ways hold no circuit."""
        return sum(way.circuit is None for way in self.ways)

    @property
    def modules(self) -> int:
        """Width of the rail in use, in modules: main switch, surge device if any, and every way, spare ones too."""
        return _first_module(self.has_surge_device) + len(self.ways)

    @property
    def rules(self) -> tuple[Rule, ...]:
        """What order and notices stand on."""
        return rule("BOARD-ORDER"), rule("RCD-NOTICE")

    @property
    def words(self) -> tuple[str, ...]:
        """The drawing told in lines."""
        surge = ("Surge protective device",) if self.has_surge_device else ()
        return ("Main switch", *surge, *(way.words for way in self.ways))


@dataclass(frozen=True)
class ChartRow:
    """One line of the circuit chart; figures as text, empty where not known."""

    way: int
    reference: str
    name: str
    cable: str
    length_metres: str
    points: str
    device: str
    rcd: str
    design_amps: str
    expected_r1_r2_ohms: str
    limit_zs_ohms: str
    cold_limit_zs_ohms: str


def needed_ways(circuits: int) -> int:
    """With the spare ways that are wanted, at least one."""
    return circuits + max(1, ceil(circuits * value("SPARE-WANTED") / 100))


def fitting_unit(circuits: int) -> int | None:
    """The smallest usual unit, in ways; None when none is large enough."""
    return next((ways for ways in UNIT_WAYS if ways >= needed_ways(circuits)), None)


def lay_out(circuits: Sequence[Circuit], *, ways: int | None = None, has_surge_device: bool = True) -> Board:
    """Circuits in order, spare ways after them; bonding takes none. Too few `ways` are stretched to hold every circuit."""
    placed = in_order(circuits)
    count = max(len(placed), ways if ways is not None else fitting_unit(len(placed)) or needed_ways(len(placed)))
    filled = [*placed, *[None] * (count - len(placed))]
    first = _first_module(has_surge_device)
    return Board(tuple(Way(number, circuit, first + number - 1) for number, circuit in enumerate(filled, 1)), has_surge_device)


def in_order(circuits: Sequence[Circuit]) -> list[Circuit]:
    """Highest rated next to the main switch, then by reference."""
    on_board = [circuit for circuit in circuits if circuit.kind != CircuitKind.BONDING]
    return sorted(on_board, key=lambda circuit: (-_rating(circuit), circuit.reference))


def check_spare_ways(circuits: int, ways: int) -> Check:
    """Spare ways against what is wanted and what is least."""
    spare = ways - circuits
    least, wanted = ceil(circuits * value("SPARE-LEAST") / 100), ceil(circuits * value("SPARE-WANTED") / 100)
    outcome = Outcome.FAIL if spare < 0 else Outcome.PASS if spare >= wanted else Outcome.LOOK
    advice = "" if outcome == Outcome.PASS else _spare_advice(spare, least, circuits)
    return Check(
        "spare-ways", "Spare ways", outcome, "ways − circuits", f"{ways} − {circuits} = {spare}", Decimal(spare), Decimal(wanted),
        "ways", f"at least {wanted}", (rule("SPARE-LEAST"), rule("SPARE-WANTED")), advice,
    )


def chart(board: Board, supply: Supply) -> list[ChartRow]:
    """A row for each way; a spare has its number and the word."""
    return [_row(way, supply) for way in board.ways]


def labels(board: Board) -> tuple[str, ...]:
    """Everything to print for the board: ways and notices."""
    return (*(way.label for way in board.ways), "Main switch", *NOTICES)


def _first_module(has_surge_device: bool) -> int:
    return SWITCH_MODULES + (SURGE_MODULES if has_surge_device else 0)


def _rating(circuit: Circuit) -> Decimal:
    return circuit.device.rating_amps if circuit.device else Decimal(0)


def _spare_advice(spare: int, least: int, circuits: int) -> str:
    if spare < 0:
        return f"{circuits} circuits do not fit."
    unit = fitting_unit(circuits)
    larger = f" A unit of {unit} ways leaves room." if unit else ""
    return f"{'Fewer than the least' if spare < least else 'Less than is wanted'} for what is added later.{larger}"


def _row(way: Way, supply: Supply) -> ChartRow:
    circuit = way.circuit
    if circuit is None:
        return ChartRow(way.number, "", "Spare", *[""] * 9)
    device = circuit.device
    rcd = _rcd(device) if device and device.rcd_milliamps else ""
    limits = (str(printed(find(device, supply))) if device else "" for find in (zs_limit_ohms, cold_limit_ohms))
    return ChartRow(
        way.number, circuit.reference, circuit.name, circuit.cable.name if circuit.cable else "",
        plain(circuit.metres, 1) if circuit.metres else "", str(circuit.points or ""), device.breaker if device else "", rcd,
        plain(circuit.design_amps, 1) if circuit.design_amps is not None else "", _expected(circuit), *limits,
    )


def _rcd(device: Device) -> str:
    return f"{device.rcd_milliamps} mA" + (f", type {device.rcd_type}" if device.rcd_type else "")


def _expected(circuit: Circuit) -> str:
    if circuit.cable is None or not circuit.metres:
        return ""
    return plain(far_end_ohms(circuit), 2)

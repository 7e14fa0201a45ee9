"""The consumer unit drawn: places of main switch, surge device and ways, in rows that fit a sheet."""

from dataclasses import dataclass

from jobs.core.electrics.board import NOTICES, SURGE_MODULES, SWITCH_MODULES, Board, ChartRow, chart, labels
from jobs.queries.circuits import Schedule

MODULE, HIGH, GAP, EDGE = 48, 130, 34, 16
ROW_MODULES = 16


@dataclass(frozen=True)
class Drawn:
    """One device: its rectangle, and the words on it from top to bottom."""

    x: int
    y: int
    width: int
    head: str
    name: str
    foot: str
    is_spare: bool
    title: str

    @property
    def middle(self) -> int:
        return self.x + self.width // 2


@dataclass(frozen=True)
class BoardSheet:
    board: Board
    width: int
    height: int
    devices: tuple[Drawn, ...]
    chart: tuple[ChartRow, ...]
    labels: tuple[str, ...]
    notices: tuple[str, ...]


def load_board(schedule: Schedule) -> BoardSheet:
    board = schedule.board
    devices = tuple(_draw(board))
    rows = max(device.y for device in devices) // (HIGH + GAP) + 1
    width = 2 * EDGE + MODULE * min(ROW_MODULES, board.modules)
    height = 2 * EDGE + rows * (HIGH + GAP) - GAP
    small = tuple(label for label in labels(board) if label not in NOTICES)
    return BoardSheet(board, width, height, devices, tuple(chart(board, schedule.supply)), small, NOTICES)


def _draw(board: Board) -> list[Drawn]:
    """Left to right, then the next row."""
    found = [_device(0, SWITCH_MODULES, "", "Main", "switch", "Main switch")]
    if board.has_surge_device:
        found.append(_device(SWITCH_MODULES, SURGE_MODULES, "", "Surge", "device", "Surge protective device"))
    for way in board.ways:
        circuit = way.circuit
        device = circuit.device if circuit else None
        name = circuit.reference if circuit else "spare"
        foot = device.breaker if device else "?" if circuit else ""
        found.append(_device(way.left_modules, 1, str(way.number), name, foot, way.words, is_spare=circuit is None))
    return found


def _device(left: int, modules: int, head: str, name: str, foot: str, title: str, *, is_spare: bool = False) -> Drawn:
    row, place = divmod(left, ROW_MODULES)
    return Drawn(
        EDGE + place * MODULE, EDGE + row * (HIGH + GAP), modules * MODULE, head, name, foot, is_spare, title
    )

"""A draft in words, so that a person can check what was understood before it is saved."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from jobs.core import stages
from jobs.core.figures import plain
from jobs.core.survey_file.columns import PointOption
from jobs.core.survey_file.draft import DraftArea, DraftCircuit, DraftPoints, DraftRoom, SurveyDraft


@dataclass(frozen=True)
class RoomWords:
    """A room: what it is, and its points, each group in words."""

    name: str
    about: str
    points: tuple[str, ...]


@dataclass(frozen=True)
class AreaWords:
    """An area, its storey (0 is the ground floor) and its rooms in words."""

    name: str
    level: int
    rooms: tuple[RoomWords, ...]


@dataclass(frozen=True)
class DraftWords:
    """`totals` are (kind of point, number), the most frequent first; circuits are (circuit, number of points)."""

    areas: tuple[AreaWords, ...]
    circuits: tuple[tuple[DraftCircuit, int], ...]
    totals: tuple[tuple[str, int], ...]


def describe_draft(draft: SurveyDraft, point_kinds: Sequence[PointOption]) -> DraftWords:
    """The draft in words, with kinds of point by name. KeyError for a kind that is not among `point_kinds`."""
    names = {kind.code: kind.name for kind in point_kinds}
    rooms, points = defaultdict(list), defaultdict(list)
    totals, on_circuit = Counter(), Counter()
    for group in draft.points:
        points[group.room].append(_group_words(group, names))
        totals[names[group.kind]] += group.quantity
        on_circuit[group.circuit] += group.quantity
    for room in draft.rooms:
        rooms[room.area].append(RoomWords(room.name, _about(room), tuple(points[room.name])))
    return DraftWords(
        tuple(_area_words(area, rooms[area.name]) for area in draft.areas),
        tuple((circuit, on_circuit[circuit.reference]) for circuit in draft.circuits),
        tuple(totals.most_common()),
    )


def _area_words(area: DraftArea, rooms: Sequence[RoomWords]) -> AreaWords:
    return AreaWords(area.name, area.level, tuple(rooms))


def _about(room: DraftRoom) -> str:
    sides = [plain(side) for side in (room.length_metres, room.width_metres) if side is not None]
    parts = [
        stages.RoomKind(room.kind).label,
        f"{stages.WallKind(room.wall_kind).label.lower()} walls",
        f"{stages.FloorKind(room.floor_kind).label.lower()} floor",
        f"joists {stages.JoistRun(room.joists).label.lower()}" if room.joists else "",
        f"drops in {stages.DropCover(room.drop_cover).label.lower()}" if room.drop_cover != stages.DropCover.CAPPING else "",
        f"{' × '.join(sides)} m" if sides else "",
    ]
    return ", ".join(filter(None, parts))


def _group_words(group: DraftPoints, names: dict[str, str]) -> str:
    told = ", ".join(filter(None, (
        group.circuit, group.label, f"{group.height_mm} mm up" if group.height_mm else "",
    )))
    return f"{group.quantity} × {names[group.kind]}" + (f" ({told})" if told else "")

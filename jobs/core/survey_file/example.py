"""The filled example: an invented two-bed terrace, with the kinds of point that the firm's catalogue has."""

from collections.abc import Sequence
from decimal import Decimal

from jobs.core.survey_file.columns import PointOption
from jobs.core.survey_file.draft import DraftArea, DraftCircuit, DraftPoints, DraftRoom, SurveyDraft

AREAS = (DraftArea("Ground floor", 0), DraftArea("First floor", 1))

CIRCUITS = (
    DraftCircuit("A1", "Smoke and heat alarms", "alarms", "RCBO type A, B curve", Decimal("6.0")),
    DraftCircuit("C1", "Cooker", "cooker", "RCBO type A, B curve", Decimal("32.0")),
    DraftCircuit("L1", "Lighting, ground floor", "lighting", "RCBO type A, B curve", Decimal("6.0")),
    DraftCircuit("L2", "Lighting, first floor", "lighting", "RCBO type A, B curve", Decimal("6.0")),
    DraftCircuit("R1", "Sockets, ground floor", "ring", "RCBO type A, B curve", Decimal("32.0")),
    DraftCircuit("R2", "Sockets, first floor", "ring", "RCBO type A, B curve", Decimal("32.0")),
)


def _room(area: str, name: str, kind: str, sizes: str, **told: object) -> DraftRoom:
    """A room; `sizes` is length, width, x and y in metres."""
    length, width, grid_x, grid_y = map(Decimal, sizes.split())
    told = {"wall_kind": "masonry", "floor_kind": "timber", "joists": "x"} | told
    return DraftRoom(
        area, name, kind, length_metres=length, width_metres=width, grid_x_metres=grid_x, grid_y_metres=grid_y, **told
    )


ROOMS = (
    _room("Ground floor", "Hall", "hall", "0.95 4.2 0 0", notes="Stairs on the party wall"),
    _room("Ground floor", "Front room", "lounge", "3.6 3.9 0.95 0"),
    _room("Ground floor", "Kitchen", "kitchen", "3.3 4.1 0.95 3.9", floor_kind="solid", drop_cover="conduit"),
    _room("First floor", "Landing", "hall", "0.9 2.6 0 3.6", wall_kind="lath"),
    _room("First floor", "Front bedroom", "bedroom", "4.55 3.6 0 0", wall_kind="lath"),
    _room("First floor", "Back bedroom", "bedroom", "3.1 2.7 0.9 3.6"),
    _room("First floor", "Bathroom", "bathroom", "2.3 1.8 0.9 6.3", height_metres=Decimal("2.30")),
)

POINTS = (
    DraftPoints("Hall", "consumer-unit", 1, label="Under the stairs"),
    DraftPoints("Hall", "ceiling-light", 1, "L1"),
    DraftPoints("Hall", "switch-two-way-pair", 1, "L2", "Hall and landing"),
    DraftPoints("Hall", "single-socket", 1, "R1"),
    DraftPoints("Hall", "smoke-alarm", 1, "A1"),
    DraftPoints("Front room", "double-socket", 5, "R1", height_mm=450),
    DraftPoints("Front room", "ceiling-light", 1, "L1"),
    DraftPoints("Front room", "switch-one-way", 1, "L1"),
    DraftPoints("Front room", "tv-plate", 1, label="Left of the chimney breast"),
    DraftPoints("Kitchen", "double-socket", 5, "R1", "Above the worktop", 1100),
    DraftPoints("Kitchen", "appliance-spur", 3, "R1", "Washer, fridge, dishwasher"),
    DraftPoints("Kitchen", "cooker", 1, "C1"),
    DraftPoints("Kitchen", "downlight", 6, "L1"),
    DraftPoints("Kitchen", "switch-one-way", 1, "L1"),
    DraftPoints("Kitchen", "heat-alarm", 1, "A1"),
    DraftPoints("Landing", "ceiling-light", 1, "L2"),
    DraftPoints("Landing", "single-socket", 1, "R2"),
    DraftPoints("Landing", "smoke-alarm", 1, "A1"),
    DraftPoints("Front bedroom", "double-socket", 5, "R2", height_mm=450),
    DraftPoints("Front bedroom", "ceiling-light", 1, "L2"),
    DraftPoints("Front bedroom", "switch-one-way", 1, "L2"),
    DraftPoints("Back bedroom", "double-socket", 3, "R2", height_mm=450),
    DraftPoints("Back bedroom", "ceiling-light", 1, "L2"),
    DraftPoints("Back bedroom", "switch-one-way", 1, "L2"),
    DraftPoints("Bathroom", "downlight", 4, "L2"),
    DraftPoints("Bathroom", "switch-pull-cord", 1, "L2"),
    DraftPoints("Bathroom", "fan", 1, "L2"),
    DraftPoints("Bathroom", "shaver", 1, "L2"),
)


def example_draft(point_kinds: Sequence[PointOption]) -> SurveyDraft:
    """The example without the points that `point_kinds` lacks, so that it can always be imported as it is."""
    known = {kind.code for kind in point_kinds}
    return SurveyDraft(AREAS, ROOMS, CIRCUITS, tuple(group for group in POINTS if group.kind in known))

from decimal import Decimal

from jobs.core.survey_file import DraftArea, DraftCircuit, DraftPoints, DraftRoom, SurveyDraft, describe_draft
from tests.core.survey_file.samples import KINDS

DRAFT = SurveyDraft(
    (DraftArea("Ground floor"), DraftArea("Loft", 2)),
    (DraftRoom("Ground floor", "Hall", "hall", "lath", "solid", Decimal("4.20"), Decimal("1.00")),),
    (DraftCircuit("R1", "Sockets", "ring"),),
    (DraftPoints("Hall", "tv-plate", 1), DraftPoints("Hall", "double-socket", 3, "R1", "By the door", 450)),
)


def test_a_room_is_told_with_kind_walls_floor_and_size() -> None:
    (room,) = describe_draft(DRAFT, KINDS).areas[0].rooms
    assert room.about == "Hall or landing, lath and plaster walls, solid floor, 4.2 × 1 m"


def test_points_are_told_with_circuit_place_and_height() -> None:
    (room,) = describe_draft(DRAFT, KINDS).areas[0].rooms
    assert room.points == ("1 × TV plate", "3 × Double socket (R1, By the door, 450 mm up)")


def test_an_area_without_rooms_is_told_too() -> None:
    assert [(area.name, len(area.rooms)) for area in describe_draft(DRAFT, KINDS).areas] == [("Ground floor", 1), ("Loft", 0)]


def test_points_are_counted_by_kind_and_by_circuit() -> None:
    words = describe_draft(DRAFT, KINDS)
    assert words.totals == (("Double socket", 3), ("TV plate", 1))
    assert words.circuits == ((DRAFT.circuits[0], 3),)

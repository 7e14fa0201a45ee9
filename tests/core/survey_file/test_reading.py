from decimal import Decimal

import pytest

from jobs.core.survey_file import DraftArea, DraftPoints, example_draft, read_survey, write_csv
from tests.core.survey_file.samples import HEADING, KINDS, faults_of, read_lines

LOUNGE = "Ground floor,0,Front room,lounge"


def test_a_survey_is_understood_when_details_stand_once_only() -> None:
    draft = read_lines(f"{LOUNGE},Double socket,4,R1,ring", "ground floor,,front room,,ceiling-light,1,,").draft
    assert draft.areas == (DraftArea("Ground floor", 0),)
    assert draft.points == (
        DraftPoints("Front room", "double-socket", 4, "R1"), DraftPoints("Front room", "ceiling-light", 1),
    )


def test_details_may_stand_on_a_later_row_than_the_name() -> None:
    draft = read_lines("Ground floor,,Hall,,,,,", "Ground floor,1,Hall,Landing,,,,").draft
    assert (draft.areas[0].level, draft.rooms[0].kind) == (1, "hall")


def test_rooms_stand_with_their_area_when_rows_are_mixed() -> None:
    draft = read_lines("G,0,Hall,hall,,,,", "F,1,Landing,hall,,,,", "G,,Lounge,lounge,,,,").draft
    assert [room.name for room in draft.rooms] == ["Hall", "Lounge", "Landing"]


def test_columns_are_found_when_named_in_other_case_order_and_marks() -> None:
    heading = "QUANTITY;Point;Room_Kind;ROOM;Length (m);Area"
    draft = read_lines("2;Double socket;bedroom;Bed;3,6;First", heading=heading).draft
    assert draft.rooms[0].length_metres == Decimal("3.60")


def test_rooms_take_the_house_s_usual_walls_when_none_are_named() -> None:
    reading = read_survey(f"{HEADING}\n{LOUNGE},,,,\n".encode(), point_kinds=KINDS, usual_walls="lath")
    assert reading.draft.rooms[0].wall_kind == "lath"


def test_a_circuit_takes_the_kind_of_its_first_point_with_a_note_when_none_is_told() -> None:
    reading = read_lines(f"{LOUNGE},TV plate,1,L1,", f"{LOUNGE},Ceiling light,1,L1,")
    assert (reading.draft.circuits[0].kind, reading.draft.circuits[0].name) == ("lighting", "Lighting")
    assert "L1 lighting" in reading.notes[0]


def test_a_circuit_without_points_is_kept() -> None:
    draft = read_lines(f"{LOUNGE},,,,", ",,,,,,B1,bonding").draft
    assert [circuit.reference for circuit in draft.circuits] == ["B1"]


def test_a_level_is_noted_as_assumed_when_none_is_told() -> None:
    assert "Loft" in read_lines("Loft,,Attic,loft,,,,").notes[0]


@pytest.mark.parametrize("quantity", ["0", "-3", "1.5", "5000", "lots"])
def test_a_quantity_is_refused_where_it_stands(quantity: str) -> None:
    assert faults_of(f"{LOUNGE},Double socket,{quantity},,") == [(2, "quantity", quantity)]


def test_every_bad_row_is_reported() -> None:
    assert faults_of(f"{LOUNGE},Dooble socket,1,,", "Ground floor,,Hall,corridor,Double socket,0,,") == [
        (2, "point", "Dooble socket"), (3, "quantity", "0"), (3, "room kind", "corridor"),
    ]


@pytest.mark.parametrize(
    ("line", "column"),
    [
        (",,Hall,hall,,,,", "area"),
        ("Ground floor,,,hall,,,,", "room"),
        ("Ground floor,,,,Double socket,1,,", "room"),
        (f"{LOUNGE},,2,,", "point"),
        (f"{LOUNGE},Double socket,,,", "quantity"),
        (f"{LOUNGE},,,R1,ring", "point"),
        (f"{LOUNGE},,,,ring", "circuit"),
        ("Ground floor,,Hall,,,,,", "room kind"),
        (",,,,,,R9,", "circuit kind"),
    ],
)
def test_a_missing_cell_is_named_when_the_row_calls_for_it(line: str, column: str) -> None:
    assert [fault[:2] for fault in faults_of(line)] == [(2, column)]


def test_a_room_is_refused_when_an_earlier_row_says_otherwise() -> None:
    (fault,) = read_lines(f"{LOUNGE},,,,", "Ground floor,,Front room,kitchen,,,,").faults
    assert (fault.row, fault.column) == (3, "room kind")
    assert "Row 2 says “lounge”" in fault.message


def test_two_rooms_of_one_name_are_refused_with_a_better_name() -> None:
    (fault,) = read_lines("Ground floor,0,Toilet,bathroom,,,,", "First floor,1,toilet,,,,,").faults
    assert "“Toilet, First floor”" in fault.message


def test_missing_double_and_unknown_columns_are_named() -> None:
    faults = faults_of("Loft,,,,", heading="area,room,room,quantitty,point")
    assert sorted(faults) == [(1, "quantitty", ""), (1, "quantity", ""), (1, "room", ""), (1, "room kind", "")]


def test_rows_are_checked_as_well_when_a_column_is_only_unknown() -> None:
    assert faults_of(f"{LOUNGE},,0,,,3", heading=f"{HEADING},widht m")[:1] == [(1, "widht m", "")]
    assert (2, "quantity", "0") in faults_of(f"{LOUNGE},Double socket,0,,,3", heading=f"{HEADING},widht m")


def test_a_cell_under_no_heading_is_refused() -> None:
    assert faults_of(f"{LOUNGE},Double socket,1,,,lost") == [(2, "cell 9", "lost")]


def test_a_formula_is_refused_where_it_stands() -> None:
    (fault,) = read_lines(f"{LOUNGE},Double socket,=1+1,,").faults
    assert (fault.row, fault.column, fault.value) == (2, "quantity", "=1+1")


def test_too_many_points_are_refused() -> None:
    assert faults_of(*[f"{LOUNGE},Double socket,200,,"] * 101) == [(0, "quantity", "")]


def test_too_many_rooms_are_refused() -> None:
    assert faults_of(*(f"Ground floor,0,Room {number},lounge,,,," for number in range(501))) == [(0, "room", "")]


def test_a_heading_alone_is_refused() -> None:
    assert read_lines().faults[0].message == "There are no rows under the heading row."


def test_a_file_of_five_thousand_rows_is_read_whole() -> None:
    lines = [
        f"Floor {row // 500},{row // 500},Room {row // 10},bedroom,Double socket,2,R{row // 500},ring"
        for row in range(5000)
    ]
    draft = read_lines(*lines).draft
    assert (len(draft.rooms), draft.point_count) == (500, 10_000)


def test_the_example_reads_without_a_fault_or_a_note() -> None:
    draft = example_draft(KINDS)
    reading = read_survey(write_csv(draft, KINDS), point_kinds=KINDS)
    assert (reading.draft, reading.faults, reading.notes) == (draft, (), ())

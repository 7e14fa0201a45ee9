from decimal import Decimal

import pytest

from jobs.core.survey_file.cells import CellFault, Level, Measure, OneOf, Text, Whole, same, squeeze

METRES = Measure(Decimal("0.1"), Decimal(100), "m")


@pytest.mark.parametrize(("written", "metres"), [("3.6", "3.60"), ("3,6", "3.60"), (" 4 m", "4.00"), ("3.335", "3.34")])
def test_metres_are_read_when_written_with_point_comma_or_unit(written: str, metres: str) -> None:
    assert METRES.read(written) == Decimal(metres)


@pytest.mark.parametrize("written", ["0", "-1", "0,04", "101", "1,234.5", "1e1", "NaN", "Infinity", "٣", "three", "3.6 ft"])
def test_metres_are_refused_with_their_bounds_when_out_of_range_or_no_number(written: str) -> None:
    with pytest.raises(CellFault, match="from 0.1 to 100 m"):
        METRES.read(written)


@pytest.mark.parametrize("written", ["0", "-2", "1.5", "201", "99999999999999999999", "two", "1/2"])
def test_a_quantity_is_refused_when_zero_negative_broken_or_huge(written: str) -> None:
    with pytest.raises(CellFault, match="a whole number from 1 to 200"):
        Whole(1, 200).read(written)


def test_a_quantity_is_read_when_a_spreadsheet_wrote_it_with_decimals() -> None:
    assert Whole(1, 200).read("2,0") == 2


@pytest.mark.parametrize(
    ("written", "level"), [("0", 0), ("-1", -1), ("\N{MINUS SIGN}1", -1), ("Ground floor", 0), ("cellar", -1)]
)
def test_a_level_is_read_when_written_as_number_or_word(written: str, level: int) -> None:
    assert Level().read(written) == level


def test_a_level_is_refused_with_words_and_numbers_when_unknown() -> None:
    with pytest.raises(CellFault, match="0 = ground floor"):
        Level().read("mezzanine")


ROOMS = OneOf((("hall", "Hall or landing"), ("lounge", "Living room")))


@pytest.mark.parametrize("written", ["hall", "HALL or Landing", "landing", "Hall-or-landing"])
def test_a_choice_is_read_when_written_as_value_words_or_one_of_them(written: str) -> None:
    assert ROOMS.read(written) == "hall"


def test_a_near_choice_is_offered_when_a_word_is_misspelt() -> None:
    with pytest.raises(CellFault, match="Did you mean “Living room”"):
        ROOMS.read("Livin room")


def test_the_value_is_shown_when_its_words_would_read_as_another_choice() -> None:
    assert OneOf((("a", "Socket"), ("b", "Socket"))).show("b") == "b"


def test_a_text_is_put_on_one_line_when_it_holds_breaks() -> None:
    assert Text(20).read("Front\n  room") == "Front room"


def test_a_text_is_refused_when_it_holds_unseen_characters() -> None:
    with pytest.raises(CellFault, match="cannot be seen"):
        Text(20).read("Front\x00room")


def test_a_note_keeps_its_lines_whatever_ends_them() -> None:
    assert Text(40, has_lines=True).read("Dog in the yard\r\nKey next door") == "Dog in the yard\nKey next door"


def test_accents_written_two_ways_are_one_text() -> None:
    assert Text(10).read("Cafe\u0301") == Text(10).read("Caf\u00e9")


def test_names_are_the_same_when_only_case_and_spaces_differ() -> None:
    assert same("Front  Room") == same("front room")


def test_headings_are_the_same_when_only_marks_differ() -> None:
    assert squeeze("Length (m)") == squeeze("length_m")

from decimal import Decimal as D

import pytest

from jobs.core.electrics.readings import Reading, State, Unit, read, within_least, within_most


@pytest.mark.parametrize(
    ("text", "unit", "amount"),
    [
        ("0.35", Unit.OHM, "0.35"), ("0,35", Unit.OHM, "0.35"), (" .35 ", Unit.OHM, "0.35"), ("0.35Ω", Unit.OHM, "0.35"),
        ("0.35 Ohms", Unit.OHM, "0.35"), ("350 mΩ", Unit.OHM, "0.35"), ("0.35 \u2126", Unit.OHM, "0.35"),
        ("1.2 kΩ", Unit.OHM, "1200"), ("200 MΩ", Unit.MEGOHM, "200"), ("200M", Unit.MEGOHM, "200"),
        ("1.5 GΩ", Unit.MEGOHM, "1500"),
        ("500k", Unit.MEGOHM, "0.5"), ("24 ms", Unit.MILLISECOND, "24"), ("0.024 s", Unit.MILLISECOND, "24"),
        ("1200 A", Unit.KILOAMP, "1.2"), ("1,234.5", Unit.MEGOHM, "1234.5"), ("0,350", Unit.OHM, "0.350"),
    ],
)
def test_figure_is_read_when_it_is_written_as_testers_write(text, unit, amount):
    reading = read(text, unit)

    assert (reading.state, reading.amount) == (State.VALUE, D(amount))


@pytest.mark.parametrize(
    ("text", "unit", "state", "amount"),
    [
        (">200", Unit.MEGOHM, State.OVER, "200"), ("> 999 MΩ", Unit.MEGOHM, State.OVER, "999"),
        (">1G", Unit.MEGOHM, State.OVER, "1000"),
        ("<0.01", Unit.OHM, State.UNDER, "0.01"), ("<0,01 Ω", Unit.OHM, State.UNDER, "0.01"), ("∞", Unit.OHM, State.OVER, None),
        ("inf", Unit.OHM, State.OVER, None), ("O.L", Unit.OHM, State.OVER, None), ("no trip", Unit.MILLISECOND, State.OVER, None),
        ("LIM", Unit.OHM, State.LIMITED, None), ("lim", Unit.MILLISECOND, State.LIMITED, None),
        ("N/A", Unit.OHM, State.NOT_APPLICABLE, None), ("na", Unit.WORDS, State.NOT_APPLICABLE, None),
        ("", Unit.OHM, State.BLANK, None), ("  –  ", Unit.OHM, State.BLANK, None), ("✓", Unit.WORDS, State.GOOD, None),
        ("Pass", Unit.WORDS, State.GOOD, None), ("x", Unit.WORDS, State.BAD, None),
    ],
)
def test_sign_or_word_is_understood_when_there_is_no_plain_figure(text, unit, state, amount):
    reading = read(text, unit)

    assert (reading.state, reading.amount) == (state, amount if amount is None else D(amount))


@pytest.mark.parametrize(
    ("text", "unit", "says"),
    [
        ("about half", Unit.OHM, "is not a reading"), ("1e9", Unit.OHM, "is not a reading"),
        ("nan", Unit.OHM, "is not a reading"),
        ("-0.02", Unit.OHM, "cannot be negative"), ("−3", Unit.MILLISECOND, "cannot be negative"),
        ("1000000000", Unit.OHM, "more than any tester shows"), ("1" + 25 * "0", Unit.OHM, "more than any tester shows"),
        ("1 MΩ", Unit.OHM, "more than any tester shows"),
        ("1,000", Unit.MEGOHM, "two ways. Write 1000 or 1.000"), ("1.2.3", Unit.OHM, "not a figure"),
        ("24 V", Unit.OHM, "is not a unit of this field"), ("ok", Unit.OHM, "says nothing measured"),
        ("0.3", Unit.WORDS, "Write one of"),
        ("٣", Unit.OHM, "is not a reading"), ("9" * 50, Unit.OHM, "at most 40 characters"),
    ],
)
def test_reading_is_refused_in_a_sentence_when_it_cannot_be_one(text, unit, says):
    reading = read(text, unit)

    assert reading.state == State.REFUSED
    assert says in reading.problem


@pytest.mark.parametrize(
    ("reading", "most", "least"),
    [
        (Reading("", State.VALUE, D(5)), True, True),
        (Reading("", State.VALUE, D(6)), False, True),
        (Reading("", State.OVER, D(5)), False, True),
        (Reading("", State.OVER, D(4)), None, None),
        (Reading("", State.OVER), False, True),
        (Reading("", State.UNDER, D(5)), True, False),
        (Reading("", State.UNDER, D(6)), None, None),
    ],
)
def test_range_of_a_tester_decides_only_what_it_can(reading, most, least):
    assert (within_most(reading, D(5)), within_least(reading, D(5))) == (most, least)


def test_reading_is_printed_with_sign_and_unit():
    assert read(">0200", Unit.MEGOHM).words(Unit.MEGOHM) == "> 200 MΩ"
    assert read("OL", Unit.MILLISECOND).words(Unit.MILLISECOND) == "did not trip"

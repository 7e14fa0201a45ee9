import io
import zipfile
from datetime import date

import pytest
from openpyxl import Workbook

from jobs.core.survey_file.opening import open_table
from jobs.core.survey_file.table import FORMULA, FileRefused


def make_book(*rows: tuple, title: str = "Survey", other: str = "") -> bytes:
    book = Workbook()
    book.active.title = title
    for row in rows:
        book.active.append(row)
    if other:
        book.create_sheet(other, 0).append(("something else",))
    return save(book)


def save(book: Workbook) -> bytes:
    page = io.BytesIO()
    book.save(page)
    return page.getvalue()


def test_numbers_are_read_as_people_write_them() -> None:
    table = open_table(make_book(("area", "x"), ("Loft", 3.0), (None, 0.1 + 0.2), (7, True)))
    assert [row.cells[:2] for row in table.rows[1:]] == [("Loft", "3"), ("", "0.3"), ("7", "True")]


@pytest.mark.parametrize(
    ("value", "words"), [("=1+1", FORMULA), (date(2027, 2, 1), "The cell is a date."), ("#REF!", "shows an error")]
)
def test_a_cell_is_a_problem_when_it_is_no_plain_value(value: object, words: str) -> None:
    row = open_table(make_book(("area",), (value,))).rows[1]
    assert row.problems[0].startswith(words) or words in row.problems[0]


def test_a_text_that_looks_like_a_formula_is_text_when_stored_as_text() -> None:
    book = Workbook()
    book.active["A1"] = "=A2"
    book.active["A1"].data_type = "s"
    row = open_table(save(book)).rows[0]
    assert (row.cells[0], row.problems) == ("=A2", {})


def test_the_sheet_named_survey_is_read_when_another_stands_before_it() -> None:
    table = open_table(make_book(("area",), ("Loft",), other="Notes"))
    assert (table.rows[1].cells[0], table.notes) == ("Loft", ())


def test_the_first_sheet_is_read_with_a_note_when_none_is_named_survey() -> None:
    table = open_table(make_book(("area",), title="House", other="Rooms"))
    assert table.rows[0].cells[0] == "something else"
    assert "“Rooms”" in table.notes[0]


def test_rows_keep_their_numbers_when_blank_rows_stand_between() -> None:
    book = Workbook()
    book.active["A1"], book.active["A7"] = "area", "Loft"
    assert [row.number for row in open_table(save(book)).rows] == [1, 7]


def test_a_row_far_below_is_refused_and_not_lost() -> None:
    book = Workbook()
    book.active["A1"], book.active["A20000"] = "area", "Loft"
    with pytest.raises(FileRefused, match="more than 10,000 rows"):
        open_table(save(book))


def zip_of(**parts: bytes) -> bytes:
    page = io.BytesIO()
    with zipfile.ZipFile(page, "w", zipfile.ZIP_DEFLATED) as pack:
        for name, data in parts.items():
            pack.writestr(name, data)
    return page.getvalue()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"PK\x03\x04 broken", "damaged"),
        (zip_of(mimetype=b"application/vnd.oasis.opendocument.spreadsheet"), "not an .xlsx workbook"),
        (zip_of(**{"xl/workbook.xml": b"<nonsense"}), "damaged"),
        (zip_of(**{"xl/workbook.xml": b" " * (61 * 1024 * 1024)}), "far larger inside"),
        (zip_of(**{"xl/workbook.xml": b""}, **{f"part{n}": b"" for n in range(200)}), "far larger inside"),
    ],
    ids=["cut-off", "other-office", "no-xml", "bomb", "many-parts"],
)
def test_a_workbook_is_refused_in_a_sentence_when_damaged_or_built_to_exhaust(data: bytes, words: str) -> None:
    with pytest.raises(FileRefused, match=words):
        open_table(data)


def test_a_workbook_is_refused_when_it_is_cut_off_in_the_middle() -> None:
    with pytest.raises(FileRefused, match="damaged"):
        open_table(make_book(("area",), ("Loft",))[:2000])

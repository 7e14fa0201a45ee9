import pytest

from jobs.core.survey_file.opening import open_table
from jobs.core.survey_file.table import FORMULA, FileRefused

TEXT = "area;room\r\nErdgeschoß;Café £\r\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
def test_text_is_the_same_when_written_in_any_unicode_encoding(encoding: str) -> None:
    table = open_table(TEXT.encode(encoding))
    assert (table.rows[1].cells, table.notes) == (("Erdgeschoß", "Café £"), ())


def test_windows_text_is_read_with_a_note_when_it_is_not_utf_8() -> None:
    table = open_table(TEXT.encode("cp1252"))
    assert table.rows[1].cells == ("Erdgeschoß", "Café £")
    assert "Windows" in table.notes[0]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_cells_are_split_when_separated_by_commas_semicolons_or_tabs(separator: str) -> None:
    assert open_table(f"area{separator}room\nLoft{separator}Attic".encode()).rows[1].cells == ("Loft", "Attic")


def test_a_first_line_that_names_the_separator_is_no_row() -> None:
    table = open_table(b"sep=;\r\narea;room, kind\r\n")
    assert (table.rows[0].number, table.rows[0].cells) == (1, ("area", "room, kind"))


def test_quoted_cells_are_read_as_rfc_4180_writes_them() -> None:
    """RFC 4180 section 2, rules 5 to 7: quotes, a doubled quote, a line break and a comma inside quotes."""
    table = open_table(b'"aaa","b \r\nbb","ccc"\r\n"aaa","b""bb","c,cc"\r\n')
    assert [row.cells for row in table.rows] == [("aaa", "b \r\nbb", "ccc"), ("aaa", 'b"bb', "c,cc")]


def test_rows_keep_their_numbers_when_blank_rows_stand_between() -> None:
    assert [row.number for row in open_table(b"area,room\n\n,\nLoft,Attic\n").rows] == [1, 4]


def test_a_formula_is_a_problem_and_a_guarded_text_is_not() -> None:
    row = open_table(b"area,room\n=A1,'=A1\n").rows[1]
    assert (row.problems, row.cells[1]) == ({0: FORMULA}, "=A1")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"\n\n ; \n", "empty"),
        (bytes.fromhex("d0cf11e0a1b11ae1"), "old .xls"),
        (b"%PDF-1.7\n\x00\x81\x8d", "not a table"),
        (b"\xff\xfea", "not a table"),
        (b'area,room\nLoft,"Attic\nmore', "not closed"),
        (b"area\n" + b"x" * 200_000, "far too long"),
        (b"area\n" + b"Loft\n" * 10_001, "more than 10,000 rows"),
        (b"x" * (20 * 1024 * 1024), "is 20 MB"),
    ],
    ids=["empty", "blank", "xls", "pdf", "half-utf16", "open-quote", "long-cell", "rows", "size"],
)
def test_a_file_is_refused_in_a_sentence_when_it_cannot_be_a_survey(data: bytes, words: str) -> None:
    with pytest.raises(FileRefused, match=words):
        open_table(data)

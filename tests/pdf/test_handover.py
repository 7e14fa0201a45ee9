"""Packs on paper, read back with pypdf: nothing people write breaks the sheet or is read as markup."""

import io

import pytest
from pypdf import PdfReader

from jobs.core.handover import Lines, Pack, Part, Picture, Pictures, Section, Words, table
from jobs.pdf import typeset_pack

MARGIN_POINTS = 18 * 72 / 25.4
A4_POINTS = 595


def typeset(words: str) -> PdfReader:
    blocks = (Words(words), Lines((words,)), table(words, ("Room", words), [(words, "1")], (1, 3)),
              Pictures((Picture(7, "sum", words, words),)))
    pack = Pack(words, words, (words,), (Section(Part.ROOMS, blocks),))
    return PdfReader(io.BytesIO(typeset_pack(pack, {}, made_words="25 November 2026, 09:30")))


def text_of(reader: PdfReader) -> str:
    return "".join("".join(page.extract_text() for page in reader.pages).replace("\u200b", "").split())


@pytest.mark.parametrize("words", [
    "Łódź, Ωμέγα, Ялта", "#let x = 1; $a$ *b* _c_ \\ @d <e> `f` [g] // h /* i */", '"quoted" \\u0041 {json}', "a\u00a0b €½",
])
def test_words_stand_as_they_were_written_when_they_look_like_markup(words: str) -> None:
    assert text_of(typeset(words)).count("".join(words.split())) >= 4


@pytest.mark.parametrize("words", ["漢字かな", "עברית العربية", "🔌", "a\nb\tc\u2028d\u200fe\x07", "", " "])
def test_pack_is_typeset_when_letters_have_no_shape_here(words: str) -> None:
    assert Part.ROOMS.label.replace(" ", "") in text_of(typeset(words))


def test_long_word_stays_on_the_paper_when_it_is_longer_than_a_line() -> None:
    begins: list[float] = []
    reader = typeset("W" * 400)
    for page in reader.pages:
        page.extract_text(visitor_text=lambda text, cm, tm, font, size: begins.append(tm[4]) if text.strip() else None)
    assert max(begins) < A4_POINTS - MARGIN_POINTS
    assert text_of(reader).count("W" * 400) >= 4


def test_missing_picture_is_told_in_its_place_when_the_sheet_is_made() -> None:
    assert "Thephotoisnotstoredanymore." in text_of(typeset("Lounge"))

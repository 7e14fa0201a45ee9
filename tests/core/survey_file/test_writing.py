import csv
import io
import string
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from jobs.core import stages
from jobs.core.survey_file import (
    DraftArea,
    DraftCircuit,
    DraftPoints,
    DraftRoom,
    SurveyDraft,
    columns_for,
    example_draft,
    read_survey,
    write_csv,
    write_xlsx,
)
from jobs.core.survey_file.cells import Text, same
from tests.core.survey_file.samples import KINDS

LETTERS = string.ascii_letters + string.digits + " =+-@'\",;éß½<&_.#\N{EURO SIGN}"


def texts(most: int, least: int = 1) -> st.SearchStrategy[str]:
    return st.text(LETTERS, min_size=least, max_size=most).map(Text(most).read).filter(lambda text: len(text) >= least)


def metres(least: str, most: str) -> st.SearchStrategy[Decimal]:
    return st.decimals(Decimal(least), Decimal(most), places=2)


def values(kinds: type[stages.Worded]) -> st.SearchStrategy[str]:
    return st.sampled_from([kind.value for kind in kinds])


def unlike(*key: str) -> dict:
    return {"unique_by": lambda thing: same(getattr(thing, key[0])), "max_size": 4}


CIRCUITS = st.builds(
    DraftCircuit, texts(12), texts(80), values(stages.CircuitKind), texts(40, 0),
    st.none() | st.decimals(1, 125, places=1), st.none() | metres("0.1", "2000"),
)


@st.composite
def drafts(draw: st.DrawFn) -> SurveyDraft:
    areas = draw(st.lists(st.builds(DraftArea, texts(60), st.integers(-3, 20)), min_size=1, **unlike("name")))
    circuits = draw(st.lists(CIRCUITS, **unlike("reference")))
    names = draw(st.lists(texts(60), unique_by=same, max_size=4))
    place = {area.name: place for place, area in enumerate(areas)}
    rooms = sorted((draw(rooms_of(areas, name)) for name in names), key=lambda room: place[room.area])
    points = [draw(points_of(room, circuits)) for room in rooms for _ in range(draw(st.integers(0, 3)))]
    circuits.sort(key=lambda circuit: same(circuit.reference))
    return SurveyDraft(tuple(areas), tuple(rooms), tuple(circuits), tuple(points))


def rooms_of(areas: list[DraftArea], name: str) -> st.SearchStrategy[DraftRoom]:
    grid = st.none() | metres("-200", "200")
    return st.builds(
        DraftRoom, st.sampled_from([area.name for area in areas]), st.just(name), values(stages.RoomKind),
        values(stages.WallKind), values(stages.FloorKind), st.none() | metres("0.1", "100"),
        st.none() | metres("0.1", "100"), metres("0.5", "12"), grid, grid, texts(100, 0),
    )


def points_of(room: DraftRoom, circuits: list[DraftCircuit]) -> st.SearchStrategy[DraftPoints]:
    return st.builds(
        DraftPoints, st.just(room.name), st.sampled_from([kind.code for kind in KINDS]), st.integers(1, 200),
        st.sampled_from(["", *(circuit.reference for circuit in circuits)]), texts(80, 0),
        st.none() | st.integers(1, 6000),
    )


@settings(deadline=None)
@given(drafts())
def test_any_survey_reads_back_the_same_when_written_as_csv(draft: SurveyDraft) -> None:
    reading = read_survey(write_csv(draft, KINDS), point_kinds=KINDS)
    assert (reading.faults, reading.draft) == ((), draft)


@settings(max_examples=25, deadline=None)
@given(drafts())
def test_any_survey_reads_back_the_same_when_written_as_xlsx(draft: SurveyDraft) -> None:
    reading = read_survey(write_xlsx(draft, KINDS), point_kinds=KINDS)
    assert (reading.faults, reading.draft) == ((), draft)


RISKY = SurveyDraft((DraftArea("=1+1"),), (DraftRoom("=1+1", "@hall", "hall", "stud", "solid"),))


def test_no_text_cell_of_a_csv_starts_as_a_formula() -> None:
    page = io.StringIO(write_csv(RISKY, KINDS).decode("utf-8-sig"), newline="")
    assert [row[:3:2] for row in csv.reader(page)][1] == ["'=1+1", "'@hall"]


def test_no_text_cell_of_a_workbook_is_a_formula() -> None:
    sheet = load_workbook(io.BytesIO(write_xlsx(RISKY, KINDS)))["Survey"]
    assert (sheet["A2"].value, sheet["A2"].data_type) == ("=1+1", "s")


def test_the_empty_file_has_every_column_and_nothing_else() -> None:
    rows = list(csv.reader(io.StringIO(write_csv(SurveyDraft(), KINDS).decode("utf-8-sig"))))
    assert rows == [[column.name for column in columns_for(KINDS)]]


def test_the_example_holds_only_points_of_the_catalogue() -> None:
    assert {group.kind for group in example_draft(KINDS).points} == {kind.code for kind in KINDS}


def test_a_workbook_offers_the_kinds_of_point_in_its_cells() -> None:
    book = load_workbook(io.BytesIO(write_xlsx(SurveyDraft(), KINDS)))
    offers = {str(offer.sqref): offer.formula1 for offer in book["Survey"].data_validations.dataValidation}
    assert offers["O2:O1000"].startswith("=Allowed!")
    assert "Double socket" in [row[5] for row in book["Allowed"].values]

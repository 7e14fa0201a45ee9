"""Thousands of operations and files that make no sense: each is read or refused in words, never anything else."""

import csv
import io
import json

import pytest
from hypothesis import strategies as st

from jobs.core.electrics.readings_table import heading_row, read_readings
from jobs.core.operations import BadOperation, read_operation
from jobs.core.stores_file.lists import Known, KnownItem, read_prices, read_stock
from jobs.core.survey_file import PointOption, example_draft, read_survey
from jobs.core.survey_file.opening import open_table
from jobs.core.survey_file.table import FileRefused
from jobs.core.survey_file.writing import write_xlsx
from tests.nonsense import TEXTS, VALUES, check_many, told_in_words

OP, ITEM = "6f9619ff-8b86-4d01-b42d-00cf4fc964ff", "0b0e5bb2-6f5a-4e8a-9d7b-5f8f2f6f1c11"
GOOD_VALUES = {
    "tick": {"share": 1, "replaces": []}, "untick": {"replaces": [ITEM]}, "not_needed": {"reason": "no hatch"},
    "measure": {"wall_1": "A", "from_1_mm": 1, "wall_2": "B", "from_2_mm": 1},
    "photo": {"stage": "first_fix", "surface": "A", "point": "", "words": ""},
    "snag": {"stage": "first_fix", "hours": 1, "words": "Box loose"}, "hours": {"hours": 8},
    "used": {"drum": "D7", "start_mark": 1, "end_mark": 2}, "brought_back": {"thing": "clip", "quantity": 1, "label": ""},
    "readings": {"when": "end", "instrument": "", "zs": "0.42"}, "found": {"point_kind": "socket", "quantity": 1},
    "put_on_van": {"line": ITEM, "on": "2027-01-12", "thing": "clip", "place": 1, "drum": "", "quantity": 1},
    "take_off_van": {"line": ITEM},
}
KINDS = [PointOption("double-socket", "Double socket", "ring"), PointOption("pendant", "Pendant light", "lighting")]
KNOWN = Known((KnownItem("back-box", "Back box", "piece"), KnownItem("cable", "Cable 2.5", "metre")), suppliers=("Wholesaler",))
TABLES = {
    "survey": ("area", "room", "room kind", "point", "quantity", "circuit", "Ground floor", "Hall", "hall", "Double socket", "2"),
    "stock": ("item", "counted in", "pack", "place", "drum", "quantity", "Back box", "Cable 2.5", "metres", "12", "Unit"),
    "prices": ("item", "price", "per", "from", "Back box", "Cable 2.5", "1.25", "100", "2027-01-12"),
    "readings": (*heading_row()[:6], "R1", "L1", "0.42", ">999", "ok"),
}
"""A heading row of each, and what may stand under it."""
HEADINGS = {"survey": 6, "stock": 6, "prices": 4, "readings": 6}


@st.composite
def operations(draw: st.DrawFn) -> object:
    """A good one in which some of what is there, or some of its value, is something else, left out or too much."""
    kind = draw(st.sampled_from(sorted(GOOD_VALUES)))
    body = {
        "op_id": OP, "kind": kind, "item": ITEM, "value": dict(GOOD_VALUES[kind]),
        "device_at": "2027-01-12T09:30:00Z", "sent_at": "2027-01-12T09:31:00Z",
    }
    for part in (body, body["value"]):
        names = st.one_of(st.sampled_from(sorted(part)), TEXTS)
        for name in draw(st.sets(names, max_size=2)):
            part[name] = draw(VALUES)
    return draw(st.one_of(st.just(body), st.just(body), VALUES))


def is_read_or_refused(body: object) -> None:
    try:
        read = read_operation(body)
    except BadOperation as bad:
        told_in_words(bad)
        return
    kept = json.dumps(read.value, allow_nan=False)
    assert "\\u0000" not in kept
    assert read_operation(body).body_hash == read.body_hash


def test_operation_is_read_or_refused_in_words_when_it_is_nonsense(pytestconfig: pytest.Config) -> None:
    check_many(pytestconfig, operations(), is_read_or_refused, times=5)


@st.composite
def files(draw: st.DrawFn, heading: tuple[str, ...], own: tuple[str, ...]) -> bytes:
    """A table of the file's own words and nonsense; sometimes other bytes altogether, or cut off."""
    cells = st.one_of(st.sampled_from(own), st.sampled_from(own), TEXTS)
    rows = draw(st.lists(st.lists(cells, min_size=1, max_size=8), max_size=5))
    page = io.StringIO()
    csv.writer(page, delimiter=draw(st.sampled_from(",;\t"))).writerows([heading, *rows] if draw(st.booleans()) else rows)
    encoding = draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]))
    data = page.getvalue().encode(encoding, "replace")
    return draw(st.one_of(st.just(data), st.just(data), st.binary(max_size=200), st.just(data[: len(data) // 2])))


def survey(data: bytes) -> None:
    reading = read_survey(data, point_kinds=KINDS)
    assert (reading.draft is None) == bool(reading.faults)


def stock(data: bytes) -> None:
    reading = read_stock(data, KNOWN)
    assert not (reading.rows and reading.faults)


def prices(data: bytes) -> None:
    reading = read_prices(data, KNOWN)
    assert not (reading.rows and reading.faults)


def readings(data: bytes) -> None:
    try:
        found = read_readings(open_table(data), ["R1", "L1"])
    except FileRefused as refused:
        told_in_words(refused)
    else:
        assert all(fault.row > 0 and fault.message for fault in found.faults)


@pytest.mark.parametrize("read", [survey, stock, prices, readings])
def test_file_is_read_whole_or_its_faults_are_told_when_it_is_nonsense(pytestconfig: pytest.Config, read) -> None:
    words, columns = TABLES[read.__name__], HEADINGS[read.__name__]
    check_many(pytestconfig, files(words[:columns], words[columns:]), read, times=2)


@st.composite
def damaged(draw: st.DrawFn, workbook: bytes) -> bytes:
    """A workbook with a few bytes changed, or cut off."""
    data = bytearray(workbook)
    for place, byte in draw(st.lists(st.tuples(st.integers(0, len(data) - 1), st.integers(0, 255)), min_size=1, max_size=6)):
        data[place] = byte
    return bytes(data[: draw(st.integers(10, len(data)))] if draw(st.booleans()) else data)


def test_workbook_is_read_or_refused_in_words_when_it_is_damaged(pytestconfig: pytest.Config) -> None:
    check_many(pytestconfig, damaged(write_xlsx(example_draft(KINDS), KINDS)), survey, times=0.5)

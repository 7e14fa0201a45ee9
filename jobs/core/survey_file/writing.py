"""Writing drafts as survey files that read back the same, as CSV or XLSX."""

import csv
import io
import re
from collections import defaultdict
from collections.abc import Iterator, Sequence

from jobs.core.survey_file.cells import UNSEEN, OneOf
from jobs.core.survey_file.columns import Column, Of, PointOption, columns_for
from jobs.core.survey_file.draft import DraftPoints, DraftRoom, SurveyDraft
from jobs.core.survey_file.xlsx_table import SHEET

Record = dict[str, object]

RUNS_IN_A_SPREADSHEET = re.compile(r"[=+\-@'\t\r\0]")
"""First characters of a text that a spreadsheet might take for a formula, and of one that looks guarded already."""


def write_csv(draft: SurveyDraft, point_kinds: Sequence[PointOption]) -> bytes:
    """UTF-8 with a byte-order mark and commas; texts a spreadsheet might run get an apostrophe in front."""
    columns = columns_for(point_kinds)
    page = io.StringIO(newline="")
    lines = csv.writer(page)
    lines.writerow([column.name for column in columns])
    for record in _records(draft):
        lines.writerow([guarded(_shown(column, record.get(column.name))) for column in columns])
    return page.getvalue().encode("utf-8-sig")


def guarded(value: object) -> object:
    """A text that a spreadsheet might run gets an apostrophe in front; anything else stays as it is."""
    return f"'{value}" if isinstance(value, str) and RUNS_IN_A_SPREADSHEET.match(value) else value


def write_xlsx(draft: SurveyDraft, point_kinds: Sequence[PointOption]) -> bytes:
    """A workbook with the sheet “Survey”, whose cells offer what is allowed, and a sheet that lists it."""
    from openpyxl import Workbook

    columns = columns_for(point_kinds)
    book = Workbook()
    sheet = book.active
    sheet.title = SHEET
    sheet.freeze_panes = "A2"
    _fill(sheet, columns, draft)
    _offer_choices(book, sheet, columns)
    page = io.BytesIO()
    book.save(page)
    return page.getvalue()


def _fill(sheet: object, columns: Sequence[Column], draft: SurveyDraft) -> None:
    from openpyxl.styles import Font

    for place, column in enumerate(columns, start=1):
        sheet.cell(1, place, column.name).font = Font(bold=True)
        sheet.column_dimensions[sheet.cell(1, place).column_letter].width = max(11, len(column.name) + 3)
    for number, record in enumerate(_records(draft), start=2):
        for place, column in enumerate(columns, start=1):
            value = _shown(column, record.get(column.name))
            cell = sheet.cell(number, place, None if value == "" else value)
            if isinstance(value, str) and value:
                cell.data_type = "s"


def _offer_choices(book: object, sheet: object, columns: Sequence[Column]) -> None:
    """A list under each column of choices, kept on the second sheet so that long lists fit."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    lists = book.create_sheet("Allowed")
    choices = [(place, column) for place, column in enumerate(columns, start=1) if isinstance(column.kind, OneOf)]
    for list_place, (place, column) in enumerate(choices, start=1):
        letter, under = get_column_letter(list_place), get_column_letter(place)
        for number, text in enumerate((column.name, *(label for _, label in column.kind.options)), start=1):
            lists.cell(number, list_place, text).data_type = "s"
        lists.column_dimensions[letter].width = 28
        offer = DataValidation("list", f"=Allowed!${letter}$2:${letter}${len(column.kind.options) + 1}", allow_blank=True)
        offer.showErrorMessage = False
        offer.add(f"{under}2:{under}1000")
        sheet.add_data_validation(offer)


def _shown(column: Column, value: object) -> object:
    """A value as people read it: the words of a choice, a number as a number, nothing as an empty text."""
    if value is None:
        return ""
    if isinstance(column.kind, OneOf):
        return column.kind.show(str(value))
    return UNSEEN.sub("", "\n".join(value.splitlines())) if isinstance(value, str) else value


def _records(draft: SurveyDraft) -> Iterator[Record]:
    """The rows: area by area, room by room, details on the first row of their thing only; the circuits last."""
    rooms_of, points_of = defaultdict(list), defaultdict(list)
    for room in draft.rooms:
        rooms_of[room.area].append(room)
    for group in draft.points:
        points_of[group.room].append(group)
    for area in draft.areas:
        first = _told(Of.AREA, area)
        for room in rooms_of[area.name]:
            yield from _room_records(first, room, points_of[room.name])
            first = {"area": area.name}
        if not rooms_of[area.name]:
            yield first
    for circuit in draft.circuits:
        yield _told(Of.CIRCUIT, circuit)


def _room_records(area: Record, room: DraftRoom, points: Sequence[DraftPoints]) -> Iterator[Record]:
    first = area | _told(Of.ROOM, room)
    for group in points:
        yield first | _told(Of.POINT, group) | {"circuit": group.circuit}
        first = {"area": room.area, "room": room.name}
    if not points:
        yield first


def _told(of: Of, thing: object) -> Record:
    """What a thing of the draft says, by column name."""
    return {column.name: getattr(thing, column.field) for column in columns_for(()) if column.of is of}

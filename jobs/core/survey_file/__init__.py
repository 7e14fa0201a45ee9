"""The survey file: one documented table, as CSV or XLSX, that holds the survey of one house.

`read_survey` turns bytes into a `SurveyDraft` or into a list of faults, each with its row, column, value and what is
allowed; `write_csv` and `write_xlsx` write drafts that read back the same. The format is our own.
"""

from jobs.core.survey_file.columns import PointOption, columns_for
from jobs.core.survey_file.describing import DraftWords, describe_draft
from jobs.core.survey_file.draft import (
    DraftArea,
    DraftCircuit,
    DraftPoints,
    DraftRoom,
    Fault,
    FaultGroup,
    Reading,
    SurveyDraft,
    group_faults,
)
from jobs.core.survey_file.example import example_draft
from jobs.core.survey_file.reading import read_survey
from jobs.core.survey_file.table import MOST_BYTES, MOST_ROWS
from jobs.core.survey_file.writing import write_csv, write_xlsx

__all__ = [
    "MOST_BYTES", "MOST_ROWS", "DraftArea", "DraftCircuit", "DraftPoints", "DraftRoom",
    "DraftWords", "Fault", "FaultGroup", "PointOption", "Reading", "SurveyDraft", "columns_for", "describe_draft",
    "example_draft", "group_faults", "read_survey", "write_csv", "write_xlsx",
]

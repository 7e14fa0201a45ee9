"""The firm's instruments as the office sees them: what is due for calibration, and since when."""

from dataclasses import dataclass
from datetime import date, timedelta

from jobs.models import Firm, Instrument

SOON = timedelta(days=30)


@dataclass(frozen=True)
class InstrumentRow:
    instrument: Instrument
    is_overdue: bool
    is_due_soon: bool


def list_instrument_rows(firm: Firm, today: date) -> list[InstrumentRow]:
    return [
        InstrumentRow(row, row.due_on < today, today <= row.due_on <= today + SOON)
        for row in Instrument.objects.filter(firm=firm)
    ]

"""What the invented firm measures with, and the dead tests of the houses whose first fix is done."""

from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal

from jobs.actions.instruments import add_instrument
from jobs.core.electrics.readings import Unit
from jobs.core.electrics.under_test import WhenTested
from jobs.management.demo.records import send
from jobs.management.demo.story import Story
from jobs.models import Instrument, Job, User
from jobs.queries.reading_lines import Line
from jobs.queries.readings import Sheet, load_sheets

SPUR_OHMS = Decimal("0.12")


def buy_instruments(story: Story) -> None:
    for row in story.tale["instruments"]:
        details = {
            "name": row["name"], "serial": row["serial"],
            "calibrated_on": story.days.today - timedelta(days=row["calibrated_days_ago"]),
            "due_on": story.days.today + timedelta(days=row["due_in_days"]),
        }
        add_instrument(firm=story.firm, details=details, by=story.office)


def dead_test(story: Story, job: Job, user: User, row: dict) -> None:
    """Every circuit as its length gives, give or take; then what came out otherwise."""
    day = story.days.ago(row["days_ago"])
    for number, sheet in enumerate(load_sheets(job, WhenTested.FIRST_FIX)):
        own = {line.field.measure.value: _usual(line, number) for line in sheet.lines if line.field.is_required}
        _send(story, user, sheet, own | row["wrote"].get(sheet.circuit.reference, {}), row, story.days.at(day, 13, 2 * number))
        if again := row["wrote_again"].get(sheet.circuit.reference):
            _send(story, user, sheet, again, row, story.days.at(day, 15, 10))


def read_sockets(story: Story, job: Job, user: User, row: dict) -> None:
    """Every ring at each of its sockets, as its length gives, a little lower towards the board; one hangs on a spur."""
    at = story.days.at(story.days.ago(row["days_ago"]), 15, 30)
    for sheet in load_sheets(job, WhenTested.FIRST_FIX):
        if sheet.ring:
            tool = Instrument.objects.get(firm=story.firm, serial=row["instrument"])
            about = {"when": sheet.when.value, "instrument": str(tool.uid), "note": ""}
            send(user, "sockets", sheet.circuit.uid, about | dict(_sockets(sheet, row["on_a_spur"])), at)


def read_supply(story: Story, job: Job, user: User, row: dict) -> None:
    tool = Instrument.objects.get(firm=story.firm, serial=row["instrument"])
    at = story.days.at(story.days.ago(row["days_ago"]), 8, 20)
    send(user, "supply", job.uid, {"instrument": str(tool.uid), "note": ""} | row["wrote"], at)


def _sockets(sheet: Sheet, on_a_spur: int) -> Iterator[tuple[str, str]]:
    for number, row in enumerate(sheet.ring.rows):
        for cell in row.cells:
            lower, spur = Decimal(number % 3) / 100, SPUR_OHMS if number == on_a_spur else Decimal(0)
            expected = cell.expected_ohms if cell.expected_ohms is not None else Decimal("0.3")
            yield f"{cell.measure.value}_{row.socket.point.uid.hex}", f"{expected - lower + spur:.2f}"


def _send(story: Story, user: User, sheet: Sheet, written: dict[str, str], row: dict, at: object) -> None:
    serial = row["other_instrument"].get(sheet.circuit.reference, row["instrument"])
    tool = Instrument.objects.get(firm=story.firm, serial=serial)
    about = {"when": sheet.when.value, "instrument": str(tool.uid), "test_volts": "500", "note": ""}
    send(user, "readings", sheet.circuit.uid, about | written, at)


def _usual(line: Line, number: int) -> str:
    unit, expected = line.field.unit, _expected(line)
    if unit == Unit.MEGOHM:
        return ">200"
    return "ok" if unit == Unit.WORDS else f"{expected * (1 + Decimal(number % 4 - 1) / 100):.2f}"


def _expected(line: Line) -> Decimal:
    """In ohms; of a bond no length is known, so what a sound one reads."""
    return line.expected_ohms if line.expected_ohms is not None else Decimal("0.03")

"""Who and what the invented firm is: read from fixtures/demo, then done step by step."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings

from jobs.actions.circuit_lengths import correct_length
from jobs.actions.circuits import describe_circuit, describe_supply
from jobs.actions.contacts import add_contact
from jobs.actions.firms import found_firm
from jobs.actions.jobs import add_job, move_job
from jobs.actions.people import add_absence, add_college_day, add_person
from jobs.actions.programme_visits import add_visit
from jobs.actions.survey_import import import_survey
from jobs.actions.visits import assign_visit
from jobs.core.survey_file import PointOption, read_survey
from jobs.management.demo.days import Days
from jobs.models import AccessoryRange, Contact, Firm, Job, Person, PointKind, User, Visit, VisitKind
from jobs.queries.firm_calendar import load_calendar

FOLDER = settings.BASE_DIR / "fixtures" / "demo"
OFFICE_PASSWORD = "copper-and-plaster"


@dataclass
class Story:
    """The firm as it grows. `now`: the moment the demo is looked at."""

    tale: dict[str, Any]
    office: User
    days: Days
    now: datetime

    @property
    def firm(self) -> Firm:
        return self.office.firm

    def person(self, name: str) -> Person:
        return Person.objects.get(firm=self.firm, name=name)


def begin(today: date, now: datetime) -> Story:
    """The firm with its people, trades and three surveyed and booked houses; nothing done yet."""
    tale = _read_tale()
    office = found_firm(
        details=tale["firm"], username=tale["office"]["username"], password=OFFICE_PASSWORD,
        office_name=tale["office"]["name"],
    )
    story = _story(tale, office, today, now)
    _add_people(story)
    contacts = {row["name"]: _contact(story, row) for row in tale["contacts"]}
    for row in tale["jobs"]:
        _add_house(story, row, contacts)
    return story


def recall(today: date, now: datetime) -> Story:
    """The firm of an earlier run, as it stands."""
    tale = _read_tale()
    return _story(tale, User.objects.get(username=tale["office"]["username"]), today, now)


def _read_tale() -> dict[str, Any]:
    return json.loads((FOLDER / "firm.json").read_text(encoding="utf-8"))


def _story(tale: dict[str, Any], office: User, today: date, now: datetime) -> Story:
    return Story(tale, office, Days(load_calendar(office.firm, today), today, ZoneInfo(office.firm.zone)), now)


def _add_people(story: Story) -> None:
    for row in story.tale["people"]:
        details = {key: row[key] for key in row.keys() - {"born_years_ago", "college_weekday"}}
        born_on = story.days.today - timedelta(days=round(365.25 * row["born_years_ago"] + 150))
        person = add_person(firm=story.firm, details=details | {"born_on": born_on}, by=story.office, now=story.now)
        if "college_weekday" in row:
            _send_to_college(story, person, row["college_weekday"])
    for row in story.tale["absences"]:
        _be_away(story, row)


def call_in_sick(story: Story) -> None:
    """News after the plan was issued."""
    _be_away(story, story.tale["sick_call"] | {"kind": "sick", "note": "Rang in the morning"})


def _be_away(story: Story, row: dict[str, Any]) -> None:
    first = story.days.ahead(row["from_working_day"])
    last = story.days.ahead(row["from_working_day"] + row["working_days"] - 1)
    add_absence(
        person=story.person(row["person"]), kind=row["kind"], starts_on=first, ends_on=last, note=row["note"],
        by=story.office, now=story.now,
    )


def _send_to_college(story: Story, person: Person, weekday: int) -> None:
    today = story.days.today
    add_college_day(
        person=person, weekday=weekday, starts_on=today - timedelta(days=90), ends_on=today + timedelta(days=270),
        by=story.office, now=story.now,
    )


def _contact(story: Story, row: dict[str, Any]) -> Contact:
    return add_contact(firm=story.firm, details=row, by=story.office)


def _add_house(story: Story, row: dict[str, Any], contacts: dict[str, Contact]) -> Job:
    details = row["details"] | {
        "customer": contacts[row["customer"]],
        "promised_finish_on": story.days.ahead(row["promised_finish_in_working_days"]),
    }
    if code := row.get("accessory_range"):
        details["accessory_range"] = AccessoryRange.objects.get(firm=story.firm, code=code)
    job = add_job(firm=story.firm, details=details, by=story.office)
    import_survey(job=job, draft=_read_survey(story, row["survey"]), by=story.office)
    _correct_lengths(story, job, row.get("corrected_lengths", ()))
    _describe_circuits(story, job, row)
    for code in row["further_visits"]:
        add_visit(job=job, kind=VisitKind.objects.get(firm=story.firm, code=code), by=story.office)
    _ask_trades(story, job, contacts.values())
    return move_job(job=job, state=Job.State.BOOKED, by=story.office)


def _correct_lengths(story: Story, job: Job, rows: Iterable[dict[str, str]]) -> None:
    for row in rows:
        correct_length(
            circuit=job.circuits.get(reference=row["circuit"]), cable_metres=Decimal(row["cable_metres"]),
            reason=row["reason"], by=story.office, now=story.now,
        )


def _describe_circuits(story: Story, job: Job, row: dict[str, Any]) -> None:
    """What the designer said so far; of one house nobody has looked at the supply yet."""
    if "supply" in row:
        describe_supply(job=job, details=row["supply"], by=story.office)
    for reference, told in row["circuits"].items():
        details = {name: found for name, found in told.items() if name != "parts"}
        circuit = job.circuits.get(reference=reference)
        describe_circuit(circuit=circuit, details=details, parts=told.get("parts", []), by=story.office)


def _read_survey(story: Story, name: str):
    kinds = PointKind.objects.filter(firm=story.firm).values_list("code", "name", "circuit_kind")
    reading = read_survey((FOLDER / name).read_bytes(), point_kinds=[PointOption(*kind) for kind in kinds])
    if reading.faults:
        raise ValueError(f"{name}: {reading.faults[0]}")
    return reading.draft


def _ask_trades(story: Story, job: Job, contacts: Iterable[Contact]) -> None:
    by_trade = {contact.trade: contact for contact in contacts}
    for visit in Visit.objects.filter(job=job, contact=None).select_related("kind"):
        if visit.kind.trade in by_trade:
            assign_visit(
                visit=visit, contact=by_trade[visit.kind.trade], not_before_on=visit.not_before_on, by=story.office
            )

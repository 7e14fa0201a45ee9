"""Histories of visits that come, move, change hands, are answered and fall away; their messages delivered in any order, twice.

What a calendar that follows RFC 5546 section 2.1.5 then shows is what the database says; numbers never fall; no identity is
used again.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test
from icalendar import Calendar

from jobs.actions.links import make_link
from jobs.actions.notices import write_notices
from jobs.actions.visits import accept_visit, cancel_visit, decline_visit, reopen_visit, suggest_days
from jobs.calendars.invitation import invitation_text
from jobs.models import Contact, InvitationMessage, Plan, SecretLink, Span, ToldDate, Visit
from jobs.queries.invitations import core_invitation
from jobs.queries.told import find_told, load_told
from tests.factories import NOW, make_contact, make_firm, make_job, make_office, make_plan, make_visit, make_visit_kind

pytestmark = pytest.mark.django_db

LONDON = ZoneInfo("Europe/London")
FIRST_DAY = date(2027, 2, 1)
"""A Monday; no bank holiday of England falls within the weeks that are used."""
HOURS = {"am": (time(8), time(12)), "pm": (time(12, 30), time(16, 30))}
DAYS, LENGTHS, HALVES = st.integers(0, 18), st.integers(0, 8), st.sampled_from(["am", "pm", "both"])
WHICH = st.integers(0, 1)


@dataclass
class Reader:
    """A calendar that keeps the newest of what it was told about each event: highest SEQUENCE, then latest DTSTAMP."""

    known: dict[str, tuple] = field(default_factory=dict)

    def hear(self, text: str) -> None:
        calendar = Calendar.from_ical(text)
        (event,) = calendar.walk("VEVENT")
        version = int(event["SEQUENCE"]), event["DTSTAMP"].dt
        if str(event["UID"]) not in self.known or self.known[str(event["UID"])][0] < version:
            self.known[str(event["UID"])] = (version, calendar["METHOD"], event)

    def shows(self) -> list[tuple]:
        """(start, end, status) of what stands, in order of time."""
        standing = [event for _, method, event in self.known.values() if method == "REQUEST"]
        return sorted((str(_plain(event["DTSTART"].dt)), str(_plain(event["DTEND"].dt)), event["STATUS"]) for event in standing)


def _plain(when: date | datetime) -> date | datetime:
    return when.astimezone(LONDON).replace(tzinfo=None) if isinstance(when, datetime) else when


def runs(told: ToldDate) -> list[tuple]:
    """The stretches a told date should show as, worked out day by day: weekends rest."""
    length = (told.ends_on - told.starts_on).days
    ends = (told.starts_on, told.ends_on)
    days = [told.starts_on + timedelta(days=number) for number in range(length + 1)]
    days = [day for day in days if day.weekday() < 5 or day in ends]
    if len(days) == 1:
        starts, stops = HOURS[told.starts_half][0], HOURS[told.ends_half][1]
        return [(datetime.combine(days[0], starts), datetime.combine(days[0], stops))]
    found: list[list[date]] = []
    for day in days:
        if found and found[-1][-1] + timedelta(days=1) == day:
            found[-1].append(day)
        else:
            found.append([day])
    return [(run[0], run[-1] + timedelta(days=1)) for run in found]


class Histories(RuleBasedStateMachine):
    @initialize()
    def begin(self) -> None:
        self.now = NOW
        self.firm = make_firm()
        self.office = make_office(self.firm)
        self.contacts = [make_contact(self.firm, name=name) for name in ("Pat", "Quinn")]
        self.links = [
            make_link(purpose=SecretLink.Purpose.TRADE_PAGE, contact=contact, by=self.office, now=NOW)[0]
            for contact in self.contacts
        ]
        kind = make_visit_kind(self.firm, name="Plastering")
        self.visits = [make_visit(make_job(self.firm), self.contacts[0], kind) for _ in range(2)]
        self.spans: dict[int, tuple] = {}

    def issue(self) -> None:
        self.now += timedelta(hours=1)
        Plan.objects.filter(firm=self.firm).update(state=Plan.State.REPLACED)
        plan = make_plan(self.firm, Plan.State.ISSUED, made_at=self.now, issued_at=self.now)
        for visit_pk, (starts_on, ends_on, first, last) in self.spans.items():
            Span.objects.create(
                firm=self.firm, plan=plan, visit_id=visit_pk, starts_on=starts_on, starts_half=first, ends_on=ends_on,
                ends_half=last,
            )
        write_notices(plan=plan, previous=None, by=self.office, now=self.now)

    @rule(which=WHICH, day=DAYS, length=LENGTHS, halves=HALVES)
    def place(self, which: int, day: int, length: int, halves: str) -> None:
        starts_on = FIRST_DAY + timedelta(days=day + (2 if (FIRST_DAY + timedelta(days=day)).weekday() > 4 else 0))
        ends_on = starts_on + timedelta(days=length)
        ends_on += timedelta(days=2 if ends_on.weekday() > 4 else 0)
        half = halves if ends_on == starts_on and halves != "both" else ""
        self.spans[self.visits[which].pk] = (starts_on, ends_on, half or "am", half or "pm")
        self.issue()

    @rule(which=WHICH)
    def drop(self, which: int) -> None:
        self.spans.pop(self.visits[which].pk, None)
        self.issue()

    @rule(which=WHICH, to=WHICH)
    def reassign(self, which: int, to: int) -> None:
        visit = Visit.objects.get(pk=self.visits[which].pk)
        if visit.contact_id != self.contacts[to].pk:
            Visit.objects.filter(pk=visit.pk).update(contact=self.contacts[to], state="pencilled", starts_on=None)
        self.issue()

    @rule(which=WHICH)
    def call_off(self, which: int) -> None:
        visit = Visit.objects.select_related("firm").get(pk=self.visits[which].pk)
        cancel_visit(visit=visit, by=self.office, now=self.now)
        self.issue()
        reopen_visit(visit=visit, by=self.office)

    @rule(which=WHICH, answer=st.sampled_from(["accept", "decline", "suggest"]))
    def answer(self, which: int, answer: str) -> None:
        visit = Visit.objects.select_related("firm").get(pk=self.visits[which].pk)
        told = find_told(visit)
        if told is None or told.starts_on is None or visit.state not in {"asked", "accepted", "declined"}:
            return
        self.now += timedelta(minutes=1)
        how = {"told": told, "link": self.links[self.contacts.index(visit.contact)], "now": self.now}
        if answer == "accept":
            accept_visit(**how)
        elif answer == "decline":
            decline_visit(**how)
        else:
            suggest_days(**how, days=[(FIRST_DAY, "am")])

    @rule(seed=st.randoms(use_true_random=False))
    def deliver(self, seed) -> None:
        """Every message so far, twice and shuffled, to calendars that knew nothing."""
        for contact in self.contacts:
            reader, texts = Reader(), self.sent_to(contact)
            doubled = [*texts, *texts]
            seed.shuffle(doubled)
            for text in doubled:
                reader.hear(text)
            assert reader.shows() == self.expected(contact)

    def sent_to(self, contact: Contact) -> list[str]:
        messages = InvitationMessage.objects.filter(invitation__contact=contact)
        messages = messages.select_related("invitation__contact", "firm", "told").order_by("pk")
        return [invitation_text(core_invitation(message, contact.email)) for message in messages]

    def expected(self, contact: Contact) -> list[tuple]:
        found = []
        for (contact_pk, _), told in load_told(self.firm.pk).items():
            if contact_pk == contact.pk and told.starts_on and told.answer not in {"declined", "suggested"}:
                status = "CONFIRMED" if told.answer == "accepted" else "TENTATIVE"
                found += [(str(starts), str(ends), status) for starts, ends in runs(told)]
        return sorted(found)

    @invariant()
    def numbers_rise_and_identities_stay(self) -> None:
        if not hasattr(self, "firm"):
            return
        numbers: dict[int, list[int]] = defaultdict(list)
        cancelled: set[int] = set()
        for message in InvitationMessage.objects.filter(firm=self.firm).order_by("pk"):
            assert message.invitation_id not in cancelled
            numbers[message.invitation_id].append(message.sequence)
            cancelled |= {message.invitation_id} if message.method == "CANCEL" else set()
        assert all(rising == list(range(len(rising))) for rising in numbers.values())


def test_calendars_show_what_the_database_says_when_messages_come_late_twice_and_out_of_order():
    checks = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]
    run_state_machine_as_test(
        Histories, settings=settings(max_examples=25, stateful_step_count=10, deadline=None, suppress_health_check=checks)
    )

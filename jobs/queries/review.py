"""Before a draft is issued: what it changes for whom, promises first, and what it breaks."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from jobs.core.date_range import DateRange
from jobs.core.slots import Slot
from jobs.core.telling import Change, Telling
from jobs.models import Contact, HeldBack, Person, Plan, Span, Visit
from jobs.queries.attendance import span_slot
from jobs.queries.causes import Causes, Step, load_causes
from jobs.queries.channels import channel_of
from jobs.queries.finishes import Finish, load_finishes
from jobs.queries.held_back import load_held
from jobs.queries.notices import Letter, load_crew_letters, load_trade_letters
from jobs.queries.planning_keys import visit_key
from jobs.queries.planning_work import VISITS_FIXED
from jobs.queries.ranges import start_range
from jobs.queries.told import list_suggesting


@dataclass(frozen=True)
class ToldChange:
    """One date that a trade hears about: what is said to them, and why, back to the beginning."""

    contact: Contact
    visit: Visit
    telling: Telling
    steps: tuple[Step, ...]
    range: DateRange | None = None

    @property
    def can_hold(self) -> bool:
        """Whether the office may choose another date: it has one, and none is agreed."""
        return self.telling.change != Change.CANCELLED and self.visit.state not in VISITS_FIXED


@dataclass(frozen=True)
class MovedStart:
    """Work of our own that starts at another time than in the issued plan."""

    title: str
    was: Slot
    now: Slot
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Review:
    draft: Plan
    issued: Plan | None
    moved: tuple[ToldChange, ...]
    new: tuple[ToldChange, ...]
    finishes: tuple[Finish, ...]
    starts: tuple[MovedStart, ...]
    crew: tuple[Letter, ...]
    trades: tuple[Letter, ...]
    held: dict[Contact | Person, HeldBack]
    suggesting: tuple[Visit, ...]
    """Visits whose trade suggests other days than it was told."""

    @property
    def late(self) -> list[Finish]:
        return [finish for finish in self.finishes if finish.is_late]

    @property
    def kept(self) -> list[Finish]:
        """Promised finishes that the draft meets."""
        return [finish for finish in self.finishes if finish.job.promised_finish_on and not finish.is_late]

    @property
    def others(self) -> list[Finish]:
        return [finish for finish in self.finishes if not finish.is_late and finish.has_moved]

    @property
    def broken(self) -> list[str]:
        return list(dict.fromkeys(rule["words"] for rule in self.draft.facts.get("broken", ())))

    @property
    def conflicts(self) -> list[dict[str, object]]:
        return self.draft.facts.get("conflicts", [])

    @property
    def recipients(self) -> list[Contact | Person]:
        """Who is told when it is issued."""
        return [letter.recipient for letter in (*self.trades, *self.crew) if letter.recipient not in self.held]

    @property
    def trade_letters(self) -> list[tuple[Letter, HeldBack | None]]:
        return [(letter, self.held.get(letter.recipient)) for letter in self.trades]

    @property
    def crew_letters(self) -> list[tuple[Letter, HeldBack | None]]:
        return [(letter, self.held.get(letter.recipient)) for letter in self.crew]

    @property
    def by_hand(self) -> list[Contact | Person]:
        """Whose message somebody has to copy."""
        return [recipient for recipient in self.recipients if channel_of(recipient) == Contact.Channel.COPY]


def load_review(draft: Plan, issued: Plan | None, today: date, now: datetime) -> Review:
    causes, held = load_causes(draft), load_causes(issued)
    trades = load_trade_letters(draft, issued, today)
    changes = list(_told_changes(trades, causes))
    return Review(
        draft=draft,
        issued=issued,
        moved=tuple(change for change in changes if change.telling.change != Change.NEW),
        new=tuple(change for change in changes if change.telling.change == Change.NEW),
        finishes=tuple(load_finishes(draft.firm, causes, held)),
        starts=tuple(_moved_starts(causes, held, today)),
        crew=tuple(load_crew_letters(draft, today, now)),
        trades=tuple(trades),
        held=load_held(draft),
        suggesting=tuple(list_suggesting(draft.firm_id)),
    )


def _told_changes(letters: list[Letter], causes: Causes) -> Iterator[ToldChange]:
    for letter in letters:
        for telling, (visit, _) in zip(letter.tellings, letter.told, strict=True):
            key = visit_key(visit.pk)
            firmness = start_range(causes.spans.get(key))
            yield ToldChange(letter.recipient, visit, telling, tuple(causes.chain(key)), firmness)


def _moved_starts(causes: Causes, held: Causes, today: date) -> Iterator[MovedStart]:
    for key, span in sorted(causes.spans.items(), key=lambda pair: (pair[1].starts_on, pair[1].starts_half)):
        before = held.spans.get(key)
        if span.package_id and before and before.starts_on >= today and _start(before) != _start(span):
            steps = tuple(causes.chain(key))
            yield MovedStart(steps[0].title, span_slot(before), span_slot(span), steps)


def _start(span: Span) -> tuple[date, str]:
    return span.starts_on, span.starts_half

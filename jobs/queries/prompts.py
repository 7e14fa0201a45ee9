"""Whom to remind of a visit, and whom to ask once more: read from what they were told, and what they answered."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from jobs.core.prompting import needs_chasing, needs_reminder
from jobs.core.telling import Telling, ask_again, remind
from jobs.models import Contact, Firm, Job, Prompt, ToldDate, Visit
from jobs.queries.firm_calendar import load_calendar, local_today
from jobs.queries.hold_points import load_awaiting
from jobs.queries.notices import visit_words
from jobs.queries.told import load_told, told_slot

Kind = Prompt.Kind
COMING = (Visit.State.ASKED, Visit.State.ACCEPTED)
OVER = (Job.State.HANDED_OVER, Job.State.DROPPED)


@dataclass(frozen=True)
class Prompting:
    """One date to remind somebody of, or to ask them about once more; `number` counts those of its kind from 1."""

    told: ToldDate
    kind: str
    number: int
    telling: Telling


def load_prompts(firm: Firm, now: datetime) -> dict[Contact, list[Prompting]]:
    """What each contact is to hear today, the earliest date first. Who is reminded of a date is not chased for it too."""
    found: dict[Contact, list[Prompting]] = defaultdict(list)
    for each in _Prompts(firm, now).due():
        found[each.told.notice.contact].append(each)
    return dict(found)


class _Prompts:
    def __init__(self, firm: Firm, now: datetime) -> None:
        self._firm, self._zone, self._today = firm, ZoneInfo(firm.zone), local_today(firm, now)
        self._calendar = load_calendar(firm, self._today)
        coming = [told for told in load_told(firm.pk).values() if _stands(told, self._today)]
        self._coming = sorted(coming, key=lambda told: (told.starts_on, told.pk))
        self._awaiting = load_awaiting(told.visit for told in coming)
        self._chased: dict[int, list[date]] = defaultdict(list)
        self._reminded: set[int] = set()
        for row in Prompt.objects.filter(told__in=coming).select_related("notice"):
            if row.kind == Kind.CHASER:
                self._chased[row.told_id].append(self._day(row.notice.made_at))
            else:
                self._reminded.add(row.told_id)

    def due(self) -> Iterator[Prompting]:
        for told in self._coming:
            if self._needs_reminder(told):
                yield Prompting(told, Kind.REMINDER, 1, self._reminder(told))
            elif self._needs_chasing(told):
                what = ask_again(visit_words(told.visit), told_slot(told))
                yield Prompting(told, Kind.CHASER, len(self._chased[told.pk]) + 1, what)

    def _needs_reminder(self, told: ToldDate) -> bool:
        wanted = self._firm.reminds_trades and told.pk not in self._reminded
        return wanted and needs_reminder(
            self._calendar, self._today, told_on=self._day(told.told_at), starts_on=told.starts_on
        )

    def _needs_chasing(self, told: ToldDate) -> bool:
        is_open = told.visit.state == Visit.State.ASKED and told.pk not in self._reminded
        return is_open and needs_chasing(
            self._calendar, self._today, told_on=self._day(told.told_at), chased_on=self._chased[told.pk],
            starts_on=told.starts_on, after_days=self._firm.chase_after_days,
        )

    def _reminder(self, told: ToldDate) -> Telling:
        visit = told.visit
        return remind(
            visit_words(visit), told_slot(told), place=visit.job.address_line,
            needs_answer=visit.state == Visit.State.ASKED, awaits_go_ahead=visit.pk in self._awaiting,
        )

    def _day(self, moment: datetime) -> date:
        return moment.astimezone(self._zone).date()


def _stands(told: ToldDate, today: date) -> bool:
    """Whether somebody is expected then: the visit is still theirs, wanted, and they did not say no."""
    visit = told.visit
    is_theirs = visit.contact_id == told.notice.contact_id and visit.job.state not in OVER
    is_no = told.answer in (ToldDate.Answer.DECLINED, ToldDate.Answer.SUGGESTED)
    return is_theirs and not is_no and visit.state in COMING and told.starts_on is not None and told.starts_on > today

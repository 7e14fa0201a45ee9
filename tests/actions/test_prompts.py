from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError, transaction

from jobs.actions.prompts import ask_for_prompts, write_prompts
from jobs.actions.visits import accept_visit
from jobs.models import Firm, Job, Notice, OutboxEntry, Prompt
from tests.factories import NOW, TODAY
from tests.told import FRIDAY, Told, issue_next, make_told

pytestmark = pytest.mark.django_db

THURSDAY = date(2027, 1, 14)
LONDON = ZoneInfo("Europe/London")


def write(told: Told, on: date, hour: int = 14) -> list[Notice]:
    return write_prompts(firm_pk=told.firm.pk, on=on, now=datetime(on.year, on.month, on.day, hour, tzinfo=LONDON))


def test_trade_is_reminded_with_place_and_question_when_they_come_tomorrow(told):
    (notice,) = write(told, THURSDAY)
    assert (notice.contact, notice.kind) == (told.contact, "reminder")
    assert notice.subject == "Reminder: Plastering, Mill Row Pat, Fri 15 January, all day"
    assert notice.lines == [
        "Plastering, Mill Row Pat: Fri 15 January, all day, 4 Mill Row, Hexby. Please say whether you can make it: we "
        "have no answer from you yet."
    ]


def test_reminder_asks_nothing_when_they_said_yes(told):
    accept_visit(told=told.date, link=told.link, now=NOW)
    assert "answer" not in write(told, THURSDAY)[0].lines[0]


def test_reminder_is_mailed_when_the_outbox_runs(told):
    (notice,) = write(told, THURSDAY)
    assert OutboxEntry.objects.filter(key=f"notice:{notice.pk}").exists()


def test_nobody_is_reminded_twice_when_it_is_written_again(told):
    write(told, THURSDAY)
    assert write(told, THURSDAY, hour=15) == []


def test_database_refuses_the_same_reminder_when_it_is_added_twice(told):
    write(told, THURSDAY)
    first = Prompt.objects.get()
    with pytest.raises(IntegrityError), transaction.atomic():
        Prompt.objects.create(firm=told.firm, notice=first.notice, told=first.told, kind=first.kind, number=1)


def test_nobody_is_reminded_when_the_firm_does_not_want_it(told):
    Firm.objects.update(reminds_trades=False, chase_after_days=0)
    assert write(told, THURSDAY) == []


@pytest.mark.parametrize("answer", ["declined", "suggested"])
def test_nobody_is_reminded_when_they_cannot_make_it(told, answer):
    row = told.date
    row.answer = answer
    row.save()
    assert write(told, THURSDAY) == []


def test_nobody_is_reminded_when_the_job_was_dropped(told):
    Job.objects.update(state=Job.State.DROPPED)
    assert write(told, THURSDAY) == []


def test_only_the_newest_date_is_reminded_of_when_it_moved(told):
    issue_next(told, date(2027, 1, 22), NOW + timedelta(hours=1))
    assert write(told, THURSDAY)[0].kind == "chaser"


def test_silent_trade_is_chased_twice_and_no_more_when_days_go_by(told):
    issue_next(told, date(2027, 2, 12), NOW)
    days = [TODAY + timedelta(days=number) for number in range(1, 20)]
    chased = [day for day in days if any(notice.kind == "chaser" for notice in write(told, day))]
    assert chased == [THURSDAY, date(2027, 1, 18)]
    last = Notice.objects.filter(kind="chaser").latest("pk")
    assert last.subject == "Can you make it? Plastering, Mill Row Pat, Fri 12 February, all day"


def test_nobody_is_chased_when_they_answered(told):
    issue_next(told, date(2027, 2, 12), NOW)
    accept_visit(told=told.date, link=told.link, now=NOW)
    assert write(told, THURSDAY) == []


def test_one_message_says_it_all_when_two_dates_are_due(told):
    other = make_told(told.firm, name="Quinn", starts_on=FRIDAY)
    other.visit.contact = told.contact
    other.visit.save()
    issue_next(told, FRIDAY, NOW + timedelta(minutes=1), other.visit)
    (notice,) = [notice for notice in write(told, THURSDAY) if notice.contact == told.contact]
    assert len(notice.lines) == 2
    assert notice.subject.endswith(" and 1 more")


def test_nothing_is_written_when_the_day_is_over(told):
    assert write_prompts(firm_pk=told.firm.pk, on=THURSDAY, now=NOW + timedelta(days=9)) == []


def at(day: int, hour: int) -> datetime:
    return datetime(2027, 1, day, hour, tzinfo=LONDON)


@pytest.mark.parametrize(("now", "asked"), [(at(14, 13), 0), (at(14, 14), 1), (at(14, 21), 0), (at(16, 14), 0)])
def test_prompts_are_asked_for_when_it_is_the_firms_hour_of_a_working_day(told, now, asked):
    for _ in range(2):
        ask_for_prompts(now=now)
    assert OutboxEntry.objects.filter(task="write_prompts").count() == asked

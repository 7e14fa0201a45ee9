"""Calendars beside icalendar's own way of writing them, an unchanged feed beside a bare view, and issuing to many."""

import json
import logging
import os
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from itertools import chain
from statistics import median
from time import perf_counter

from django.conf import settings
from django.core.cache import caches
from django.test import Client
from django.test.utils import override_settings
from django.utils import timezone
from icalendar import Calendar

from jobs.actions.issuing import issue_plan
from jobs.actions.links import make_link
from jobs.calendars.feed import event_text, write_event
from jobs.core.stages import Half, Trade
from jobs.management.bench.scratch import scratch_database
from jobs.models import CalendarEntry, Contact, Firm, Job, Plan, Role, SecretLink, Span, User, Visit, VisitKind
from jobs.queries.feeds import load_events

HELP = "an unchanged feed beside a bare view, feeds beside icalendar, issuing to many"
BARE = "jobs.management.bench.bare_view"
IN_A_TURN = 10
SETTINGS = {
    "ALLOWED_HOSTS": ["testserver"], "SECURE_SSL_REDIRECT": False,
    "CACHES": settings.CACHES | {"default": {"BACKEND": "django.core.cache.backends.dummy.DummyCache"}},
}
"""Nothing counts how often a calendar is fetched."""


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--events", type=int, nargs="*", default=[1000, 10000], help="in each feed")
    parser.add_argument("--recipients", type=int, default=60, help="of the plan that is issued")
    parser.add_argument("--repeats", type=int, default=20)


def run(tell: Callable[[str], None], *, events: list[int], recipients: int, repeats: int, **options: object) -> None:
    """A line for each measurement, then everything as one line of JSON."""
    with scratch_database(), override_settings(**SETTINGS), quiet_log():
        firm = Firm.objects.create(name="Hazel Lane Electrics")
        office = User.objects.create_user("office", firm=firm, role=Role.OFFICE)
        feeds = [_measure_feed(firm, office, count, repeats) for count in events]
        for row in feeds:
            tell(
                f"{row['events']:>6} events: cold {row['cold_ms']:.0f} ms, warm {row['warm_ms']:.1f} ms, icalendar "
                f"{row['icalendar_ms']:.0f} ms ({row['warm_ratio']:.0f} times as fast warm, {row['cold_ratio']:.1f} cold); 304 "
                f"{row['unchanged_ms']:.2f} ms, {row['unchanged_ratio']:.1f} times a bare view; {row['kilobytes']:.0f} kB"
            )
        issue = _measure_issue(firm, office, recipients)
        tell(f"issue to {recipients} recipients: {issue['ms']:.0f} ms, {issue['per_recipient_ratio']:.1f} bare views each")
    tell(json.dumps({"calendars": {"feeds": feeds, "issue": issue, "load": round(os.getloadavg()[0], 1)}}))


@contextmanager
def quiet_log() -> Iterator[None]:
    """A line for each request would be measured with it, on both sides."""
    logging.disable(logging.WARNING)
    try:
        yield
    finally:
        logging.disable(logging.NOTSET)


def _measure_feed(firm: Firm, office: User, count: int, repeats: int) -> dict[str, float]:
    now = timezone.now()
    job = Job.objects.create(firm=firm, name=f"House of {count}", address="4 Mill Row\nHexby")
    CalendarEntry.objects.bulk_create([_entry(firm, job, number, now) for number in range(count)], batch_size=500)
    link, token = make_link(purpose=SecretLink.Purpose.JOB_FEED, job=job, by=office, now=now)
    link_path = f"/calendar/{token}.ics"
    _fetch("/calendar/none.ics")  # whatever a first request loads
    event_text.cache_clear()
    caches["feeds"].clear()
    cold, response = _timed(lambda: _fetch(link_path))
    headers = {"If-None-Match": response["ETag"]}
    warm = _median(lambda: _fetch(link_path), repeats)
    unchanged, bare = _beside_bare(lambda: _fetch(link_path, headers), repeats)
    beside, _ = _timed(lambda: _icalendar_text(link, now.date()))
    return {
        "events": count, "kilobytes": len(response.content) / 1000, "cold_ms": cold, "warm_ms": warm,
        "icalendar_ms": beside, "cold_ratio": beside / cold, "warm_ratio": beside / warm, "unchanged_ms": unchanged,
        "unchanged_ratio": unchanged / bare,
    }


def _fetch(path: str, headers: dict[str, str] | None = None) -> object:
    return Client().get(path, headers=headers)


def _bare(repeats: int) -> float:
    return median(_bare_times(repeats))


def _bare_times(repeats: int) -> list[float]:
    with override_settings(ROOT_URLCONF=BARE):
        return _times(lambda: _fetch("/"), repeats)


def _beside_bare(call: Callable[[], object], repeats: int) -> tuple[float, float]:
    """Medians of a call and of a bare view, taking turns, so that other work on the machine weighs on both."""
    turns = [(_times(call, IN_A_TURN), _bare_times(IN_A_TURN)) for _ in range(repeats)]
    ours, bare = zip(*turns, strict=True)
    return median(chain.from_iterable(ours)), median(chain.from_iterable(bare))


def _times(call: Callable[[], object], repeats: int) -> list[float]:
    """The first call, after which everything it needs is loaded, does not count."""
    call()
    return [_timed(call)[0] for _ in range(repeats)]


def _icalendar_text(link: SecretLink, today: date) -> bytes:
    """The same events, written whole by the library each time."""
    calendar = Calendar()
    for event in load_events(link, today):
        calendar.add_component(write_event(event))
    return calendar.to_ical()


def _entry(firm: Firm, job: Job, number: int, now: datetime) -> CalendarEntry:
    starts_at = datetime.combine(now.date() + timedelta(days=number % 500), datetime.min.time(), UTC)
    return CalendarEntry(
        firm=firm, job=job, key=f"deadline:{job.pk}:{number}", deadline=f"bench-{number}", revised_at=now,
        starts_at=starts_at, ends_at=starts_at + timedelta(hours=4), summary=f"Mill Row: first fix, ground floor {number}",
        description="First fix, ground floor\nRooms: Hall, Kitchen, Lounge.\nWith Ben, Cai.\nKey under the pot.",
        place="4 Mill Row, Hexby",
    )


def _measure_issue(firm: Firm, office: User, recipients: int) -> dict[str, float]:
    now = timezone.now()
    starts_on = now.date() + timedelta(days=30)
    plan = Plan.objects.create(firm=firm, number=1, made_at=now)
    kind = VisitKind.objects.create(firm=firm, code="bench", name="Plastering", trade=Trade.PLASTERER, length_days=1)
    for number in range(recipients):
        job = Job.objects.create(firm=firm, name=f"House {number}", address="4 Mill Row")
        contact = Contact.objects.create(
            firm=firm, name=f"Contact {number}", trade=Trade.PLASTERER, email=f"contact{number}@trades.example"
        )
        visit = Visit.objects.create(firm=firm, job=job, kind=kind, contact=contact, length_days=1)
        Span.objects.create(
            firm=firm, plan=plan, visit=visit, starts_on=starts_on, starts_half=Half.MORNING, ends_on=starts_on,
            ends_half=Half.AFTERNOON,
        )
    took, _ = _timed(lambda: issue_plan(plan=plan, version=plan.version, by=office, now=now))
    return {"recipients": recipients, "ms": took, "per_recipient_ratio": took / recipients / _bare(50)}


def _timed(call: Callable[[], object]) -> tuple[float, object]:
    """Milliseconds, and what came of it."""
    before = perf_counter()
    result = call()
    return (perf_counter() - before) * 1000, result


def _median(call: Callable[[], object], repeats: int) -> float:
    return median(_timed(call)[0] for _ in range(repeats))

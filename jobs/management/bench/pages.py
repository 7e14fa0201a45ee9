"""How long the main pages take beside a bare view that makes one query, what they ask the database, and their size.

At 50 jobs, planned over a year, and at 1,000, of which all others are over. Each page is asked for when nothing has
changed since the last time; after a change of the firm's own row, which every page asks: then it is built anew; after a
tick on site; and after the office moved a booking by hand. Times are processor time, the median of turns taken with the
bare view; what the change itself takes is not in them.
"""

import gzip
import json
from argparse import ArgumentParser
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from datetime import timedelta
from io import StringIO
from itertools import count, cycle
from statistics import median
from time import process_time

from django.conf import settings
from django.core.management import call_command
from django.db import connection, reset_queries
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext, override_settings
from django.urls import reverse
from django.utils import timezone

from jobs.actions.closing import close_books
from jobs.actions.hand_moves import move_booking
from jobs.management.bench import BenchError
from jobs.management.bench.lighthouse import HOW, find_lighthouse, score
from jobs.management.bench.many_jobs import copy_job, hand_over_copy
from jobs.management.bench.scale import Visitor, visitor_of
from jobs.management.bench.scratch import scratch_database
from jobs.management.bench.site_and_bare import ONE_INSERT, ONE_QUERY
from jobs.models import AttemptCount, Booking, Firm, Job, Plan, User
from jobs.queries.firm_calendar import load_calendar

HELP = "main pages at 50 and 1,000 jobs: time beside a bare view, queries, gzipped size; scores when LIGHTHOUSE is named"
SCORED = ("today", "site_job", "site_room", "room_sheet", "week", "job")
SITE_AND_BARE = "jobs.management.bench.site_and_bare"
PLANNED, FIRST_OVER = 50, 500
"""Jobs planned, and the number of the first copy that is over."""


@dataclass(frozen=True)
class Measured:
    """Medians; ratios are over the bare view's, measured in turn with it."""

    milliseconds: float
    ratio: float
    queries: int
    changed_milliseconds: float
    changed_ratio: float
    changed_queries: int
    gzipped_bytes: int
    ticked_ratio: float | None = None
    moved_ratio: float | None = None


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--repeats", type=int, default=15, help="times each page is asked for")
    parser.add_argument("--jobs", type=int, nargs="+", default=[50, 1000], help="how many, in rising order, 50 or more")


def run(tell: Callable[[str], None], *, repeats: int, jobs: list[int], **options: object) -> None:
    """A table for each number of jobs, the scores, then everything as one line of JSON."""
    program, found = find_lighthouse(), {}
    with scratch_database() as folder, override_settings(ROOT_URLCONF=SITE_AND_BARE):
        tell("Making and planning an invented firm; about half a minute ...")
        call_command("demo", no_serve=True, stdout=StringIO())
        client = _signed_in()
        scores = score(program, _scored_paths(), _cookie(client), folder) if program else {}
        for number in sorted(jobs):
            _grow(number, nights=2 * len(found))
            found[number] = _tell_pages(tell, client, repeats) | _tell_others(tell, repeats)
    tell("\n".join(f"Lighthouse, {path}: {got}" for path, got in scores.items()) or HOW)
    tell(json.dumps({"pages": found, "lighthouse": scores}))


def _grow(number: int, *, nights: int) -> None:
    """The firm with so many jobs: copies of those it has, each a week later than the last; beyond PLANNED, over. Then
    two more nights pass: the first only sees what stock moved, the second carries it forward.
    """
    there, now = Job.objects.count(), timezone.now()
    if there < PLANNED:
        own = list(Job.objects.order_by("pk"))
        for at, job in enumerate(own):
            copy_job(job, 1, len(range(at, PLANNED - there, len(own))), days=7)
        there = Job.objects.count()
    if number > there:
        first = Job.objects.earliest("pk")
        over = hand_over_copy(first, FIRST_OVER, on=now.date() - timedelta(days=200), at=now - timedelta(days=200))
        copy_job(over, 1, number - there - 1)
    for night in (nights, nights + 1):
        close_books(now=now + timedelta(days=night))


def _tell_pages(tell: Callable[[str], None], client: Client, repeats: int) -> dict[str, dict[str, float]]:
    tell(f"\n{Job.objects.count()} jobs{'unchanged':>29}{'built anew':>31}{'a tick':>8}{'a move':>8}")
    tell(
        f"{'page':14} {'ms':>8} {'x bare':>7} {'queries':>7} {'ms':>12} {'x bare':>7} {'queries':>7} {'x bare':>7} {'x bare':>7} "
        f"{'gzipped':>9}"
    )
    found, changes = {}, (visitor_of(Firm.objects.earliest("pk").pk).calls()["tick"], _Mover().move)
    for name, path in list_pages().items():
        row = measure(client, path, repeats, changes)
        tell(
            f"{name:14} {row.milliseconds:8.2f} {row.ratio:7.1f} {row.queries:7} {row.changed_milliseconds:12.1f} "
            f"{row.changed_ratio:7.1f} {row.changed_queries:7} {row.ticked_ratio:7.1f} {row.moved_ratio:7.1f} "
            f"{row.gzipped_bytes:7} B"
        )
        found[name] = asdict(row)
    return found


def _tell_others(tell: Callable[[str], None], repeats: int) -> dict[str, float]:
    """A tick's speed over that of a bare insert, each a request; a 304's time over the bare view's."""
    visitor, bare_client = visitor_of(Firm.objects.earliest("pk").pk), new_client()
    tick, insert = _compare(visitor.calls()["tick"], lambda: bare_client.post(ONE_INSERT), repeats)
    unchanged, bare = _compare(_not_modified(visitor), lambda: bare_client.get(ONE_QUERY), repeats)
    tell(f"tick {tick:.1f} ms, bare insert {insert:.2f} ms: {insert / tick:.2f} of its speed")
    tell(f"304 {unchanged:.2f} ms, bare view {bare:.2f} ms: {unchanged / bare:.1f} times")
    return {"tick_speed_of_insert": insert / tick, "not_modified_ratio": unchanged / bare}


def _not_modified(visitor: Visitor) -> Callable[[], HttpResponse]:
    """As calendar programs ask: without signing in."""
    program = new_client()
    tag = program.get(visitor.feed)["ETag"]
    return lambda: program.get(visitor.feed, headers={"If-None-Match": tag})


def _compare(one: Callable[[], object], other: Callable[[], object], repeats: int) -> tuple[float, float]:
    """Median milliseconds of both, in turns."""
    AttemptCount.objects.all().delete()
    with override_settings(DEBUG=False):
        one(), other()  # warm
        pairs = [(_milliseconds(one), _milliseconds(other)) for _ in range(2 * repeats)]
    return tuple(median(times) for times in zip(*pairs, strict=True))


def list_pages() -> dict[str, str]:
    """URL name → path of each main page, of the job booked first."""
    booking = Booking.objects.filter(plan__state=Plan.State.ISSUED).order_by("on", "pk").first()
    job = booking.package.job if booking else Job.objects.order_by("pk").first()
    plain = ("today", "week", "plan_review", "job_list", "stores", "contact_list", "crew", "catalogue")
    of_job, of_room = ("site_job", "site_cuts", "job", "survey", "job_materials"), ("site_room", "room_sheet")
    paths = {name: reverse(name) for name in plain} | {name: reverse(name, args=[job.pk]) for name in of_job}
    return paths | {name: reverse(name, args=[job.rooms.first().pk]) for name in of_room}


def _scored_paths() -> list[str]:
    paths = list_pages()
    return [paths[name] for name in SCORED]


class _Mover:
    """The office moving a booking of the draft by hand, from one working day to another and back."""

    def __init__(self) -> None:
        self.by = User.objects.filter(person=None).earliest("pk")
        rows = Booking.objects.filter(plan__state=Plan.State.DRAFT, firm=self.by.firm).order_by("-on", "-pk")
        calendar = load_calendar(self.by.firm, timezone.now().date())
        row = next(row for row in rows if not calendar.rest_name(row.on))
        later = (row.on + timedelta(weeks=number) for number in count(1))
        self.pk, self.days = row.pk, cycle((next(on for on in later if not calendar.rest_name(on)), row.on))

    def move(self) -> None:
        row = Booking.objects.select_related("plan", "person").get(pk=self.pk)
        move_booking(
            booking=row, on=next(self.days), half=row.half, person=row.person, version=row.plan.version, by=self.by,
            now=timezone.now(),
        )


def measure(client: Client, path: str, repeats: int, changes: Sequence[Callable[[], object]] = ()) -> Measured:
    """One page; BenchError when it does not answer with a page. `changes`: a tick and a move."""
    with override_settings(ROOT_URLCONF=SITE_AND_BARE):
        _change()
        changed, answer = _count_queries(client, path)
        queries, _ = _count_queries(client, path)
        bare = new_client()
        with override_settings(DEBUG=False):  # in debug every query is noted down, which takes time of its own
            bare.get(ONE_QUERY), client.get(path)  # warm
            rows = [_turn(bare, client, path, changes) for _ in range(repeats)]
    one_query, kept, built, *after = (median(times) for times in zip(*rows, strict=True))
    return Measured(
        round(kept, 2), round(kept / one_query, 1), queries, round(built, 1), round(built / one_query, 1), changed,
        len(gzip.compress(answer.content)), *(round(each / one_query, 1) for each in after),
    )


def _turn(bare: Client, client: Client, path: str, changes: Sequence[Callable[[], object]]) -> list[float]:
    times = [_milliseconds(lambda: bare.get(ONE_QUERY)), _milliseconds(lambda: client.get(path))]
    for change in (_change, *changes):
        change()
        times.append(_milliseconds(lambda: client.get(path)))
    return times


def _change() -> None:
    """The least of changes to each firm; it counts as one."""
    for firm in Firm.objects.all():
        firm.save(update_fields=["name"])


def _count_queries(client: Client, path: str) -> tuple[int, HttpResponse]:
    reset_queries()  # a full log would hide how many were added
    with CaptureQueriesContext(connection) as asked:
        answer = client.get(path)
    if answer.status_code != 200:
        raise BenchError(f"{path} answers {answer.status_code}.")
    return len(asked), answer


def _milliseconds(call: Callable[[], object]) -> float:
    began_at = process_time()
    call()
    return 1000 * (process_time() - began_at)


def new_client() -> Client:
    return Client(SERVER_NAME="localhost")


def _signed_in() -> Client:
    client = new_client()
    client.force_login(User.objects.filter(person=None).earliest("pk"))
    return client


def _cookie(client: Client) -> tuple[str, str]:
    name = settings.SESSION_COOKIE_NAME
    return name, client.cookies[name].value

"""One, many, very many firms on one machine: pages, ticks and calendars under load, and planning beside them."""

import json
import os
import subprocess
import sys
import uuid
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from io import StringIO
from itertools import cycle
from statistics import quantiles
from time import monotonic, perf_counter, sleep

from django.conf import settings
from django.core.management import call_command
from django.db import connection, reset_queries
from django.db.models import F
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext, override_settings
from django.urls import reverse
from django.utils import timezone

from jobs.actions.links import make_link
from jobs.actions.planning import plan_again
from jobs.management.bench import BenchError
from jobs.management.bench.calendars import quiet_log
from jobs.management.bench.many_firms import copy_firm
from jobs.management.bench.many_jobs import copy_job
from jobs.management.bench.scratch import address, scratch_database
from jobs.models import AttemptCount, Firm, Job, OutboxEntry, Person, PlanRun, RoomTask, SecretLink, User
from jobs.queries.links import address_path

HELP = "many firms on one machine: p50 and p95 beside one firm's, queries, plans a minute, fairness"
AT_ONCE = 4
"""Requests in the air at any moment."""
BELOW_LIMIT = 80
"""Fewer than a phone may send in a minute."""
UNCOUNTED = settings.CACHES | {"default": {"BACKEND": "django.core.cache.backends.dummy.DummyCache"}}
"""Nothing counts how often a calendar is fetched."""
SAMPLE = 20
"""Firms that are asked, spread over all there are."""
MANY_JOBS = 16
"""Jobs of the firm beside whose plan the others work."""
LONG, SHORT = 60, 2
"""Seconds the planner thinks: about those jobs, about another firm's."""
PATIENCE_SECONDS = 300

ASKED = (("week", True), ("week", False), ("today", True), ("today", False), ("tick", False), ("calendar", False))
"""What is asked for, and whether something of the firm changed just before."""

Calls = dict[str, Callable[[], HttpResponse]]


@dataclass
class Visitor:
    """One firm's people, signed in, and what they ask for."""

    firm_pk: int
    office: Client
    crew: Client
    feed: str
    tasks: Iterator[str]

    def calls(self) -> Calls:
        return {
            "week": lambda: self.office.get(reverse("week")),
            "today": lambda: self.crew.get(reverse("today")),
            "tick": lambda: self.crew.post(reverse("sync"), self._tick(), content_type="application/json"),
            "calendar": lambda: self.crew.get(self.feed),
        }

    def change(self) -> None:
        """The least of changes: pages that were kept are built anew."""
        Firm.objects.filter(pk=self.firm_pk).update(name=F("name"))

    def _tick(self) -> str:
        at = timezone.now().isoformat()
        operation = {
            "op_id": str(uuid.uuid4()), "kind": "tick", "item": next(self.tasks), "value": {"share": 1, "replaces": []},
            "device_at": at,
        }
        return json.dumps({"sent_at": at, "operations": [operation]})


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--firms", type=int, nargs="+", default=[1, 10, 100], help="how many, in rising order")
    parser.add_argument("--requests", type=int, default=200, help="of each kind, for each number of firms")
    parser.add_argument("--plans", type=int, default=6, help="planned for the count of plans a minute")
    parser.add_argument("--database", default="", help="address of a PostgreSQL database, beside which the bench makes its own")


def run(
    tell: Callable[[str], None], *, firms: list[int], requests: int, plans: int, database: str = "", **options: object
) -> None:
    """A table for each number of firms, then everything as one line of JSON."""
    found: dict[str, object] = {"pages": {}, "made_in_seconds": {}, "load": os.getloadavg()[0]}
    with scratch_database(database), override_settings(DEBUG=False, CACHES=UNCOUNTED), quiet_log():
        tell(f"Making and planning an invented firm on {connection.vendor}; about half a minute ...")
        call_command("demo", no_serve=True, stdout=StringIO())
        tell(f"\n{'firms':>6} {'what':12} {'p50 ms':>8} {'p95 ms':>8} {'x one firm':>10} {'queries':>8}")
        for number in sorted(firms):
            found["made_in_seconds"][number] = grow(number)
            found["pages"][number] = _tell_pages(tell, _visitors(number), requests, found["pages"])
        tell("\nmade: " + ", ".join(f"{number} in {took:.0f} s" for number, took in found["made_in_seconds"].items()))
        found["plans_a_minute"] = {workers: _plans_a_minute(plans, workers) for workers in (1, 2)}
        tell(f"plans a minute: {found['plans_a_minute'][1]:.0f} with one worker, {found['plans_a_minute'][2]:.0f} with two")
        found["fairness"] = _fairness(requests)
        tell(
            "beside another firm's plan of {0[jobs]} jobs: a tick {0[tick_beside_ms]:.1f} ms at p95 ({0[tick_alone_ms]:.1f} "
            "alone), a plan after {0[plan_beside_s]:.1f} s ({0[plan_alone_s]:.1f} alone)".format(found["fairness"])
        )
    tell(json.dumps({"scale": found}))


def grow(number: int) -> float:
    """Make the firms up to so many, each a copy of the first; how many seconds that took."""
    began_at, there = monotonic(), Firm.objects.count()
    if number > there:
        copy_firm(Firm.objects.earliest("pk"), there, number - 1)
    return monotonic() - began_at


def _visitors(number: int) -> list[Visitor]:
    """People of at most SAMPLE firms, spread over all."""
    pks = list(Firm.objects.order_by("pk").values_list("pk", flat=True))[:: max(1, number // SAMPLE)]
    return [visitor_of(pk) for pk in pks[:SAMPLE]]


def visitor_of(firm_pk: int) -> Visitor:
    office = User.objects.filter(firm=firm_pk, person=None).earliest("pk")
    crew = User.objects.filter(firm=firm_pk, person__isnull=False).earliest("pk")
    link = SecretLink.objects.filter(firm=firm_pk, purpose="person_feed").first() or _make_feed(office)
    lines = RoomTask.objects.filter(firm=firm_pk, package__job__state="on_site").values_list("uid", flat=True)
    return Visitor(firm_pk, _signed_in(office), _signed_in(crew), address_path(link), cycle([str(uid) for uid in lines[:50]]))


def _make_feed(office: User) -> SecretLink:
    person = Person.objects.filter(firm=office.firm_id).earliest("pk")
    return make_link(purpose="person_feed", by=office, now=timezone.now(), person=person)[0]


def _signed_in(user: User) -> Client:
    client = Client(SERVER_NAME="localhost")
    client.force_login(user)
    return client


def _tell_pages(
    tell: Callable[[str], None], visitors: list[Visitor], requests: int, before: dict[int, dict]
) -> dict[str, dict[str, float]]:
    found, firms, one = {}, Firm.objects.count(), next(iter(before.values()), None)
    for name, is_anew in ASKED:
        kind = f"{name} anew" if is_anew else name
        for visitor in visitors:
            visitor.calls()[name]()  # warm
        p50, p95 = _percentiles(_times(visitors, name, requests, is_anew=is_anew))
        ratio = p50 / one[kind]["p50_ms"] if one else 1.0
        found[kind] = {"p50_ms": p50, "p95_ms": p95, "over_one": ratio, "queries": _queries(visitors[-1], name, is_anew=is_anew)}
        tell(f"{firms:>6} {kind:12} {p50:8.1f} {p95:8.1f} {ratio:10.2f} {found[kind]['queries']:8}")
    return found


def _times(visitors: list[Visitor], name: str, requests: int, *, is_anew: bool = False) -> list[float]:
    """Milliseconds of each request, AT_ONCE in the air, the firms in turn."""
    taken, times = cycle(visitors), []
    with ThreadPoolExecutor(AT_ONCE) as pool:
        while len(times) < requests:
            AttemptCount.objects.all().delete()  # the limit of sendings a minute is not what is measured
            turn = [next(taken) for _ in range(min(BELOW_LIMIT, requests - len(times)))]
            times += pool.map(lambda visitor: _timed(visitor, name, is_anew=is_anew), turn)
    return times


def _timed(visitor: Visitor, name: str, *, is_anew: bool) -> float:
    if is_anew:
        visitor.change()
    began_at = perf_counter()
    answer = visitor.calls()[name]()
    if answer.status_code != 200:
        raise BenchError(f"An address answers {answer.status_code}.")
    return 1000 * (perf_counter() - began_at)


def _percentiles(times: list[float]) -> tuple[float, float]:
    parts = quantiles(times, n=20)
    return parts[9], parts[18]


def _queries(visitor: Visitor, name: str, *, is_anew: bool) -> int:
    if is_anew:
        visitor.change()
    reset_queries()
    with override_settings(DEBUG=True), CaptureQueriesContext(connection) as asked:
        visitor.calls()[name]()
    return len(asked)


def _plans_a_minute(plans: int, workers: int) -> float:
    """How fast the outbox is emptied of asked-for plans by so many processes, which were at work before."""
    firms = Firm.objects.order_by("pk")[:plans]
    with _workers(workers):
        _plan(firms[0], SHORT)
        began_at = monotonic()
        for firm in firms:
            _ask(firm, SHORT)
        _wait_until_planned()
    return 60 * len(firms) / (monotonic() - began_at)


def _fairness(requests: int) -> dict[str, float]:
    """One firm's tick and plan alone, and while a worker plans for another firm of many jobs."""
    grow(max(2, Firm.objects.count()))
    own, other = Firm.objects.earliest("pk"), Firm.objects.latest("pk")
    job, visitor = Job.objects.filter(firm=other).earliest("pk"), visitor_of(own.pk)
    copy_job(job, 1, MANY_JOBS - Job.objects.filter(firm=other).count(), days=7)
    with _workers(1):
        found = {"plan_alone_s": _plan(own, SHORT), "jobs": Job.objects.filter(firm=other).count()}
        found["tick_alone_ms"] = _percentiles(_times([visitor], "tick", requests))[1]
        _ask(other, LONG)
        _wait_until(lambda: PlanRun.objects.filter(firm=other, state="running").exists())
        found["tick_beside_ms"] = _percentiles(_times([visitor], "tick", requests))[1]
        found["plan_beside_s"] = _plan(own, SHORT)
        found["is_beside"] = PlanRun.objects.filter(firm=other, state="running").exists()
    if not found["is_beside"]:
        raise BenchError("The other firm's plan was over before what should go beside it. Ask for fewer requests.")
    return found | {"tick_ratio": found["tick_beside_ms"] / found["tick_alone_ms"]}


def _ask(firm: Firm, seconds: int) -> PlanRun:
    by = User.objects.filter(firm=firm, person=None).earliest("pk")
    PlanRun.objects.filter(firm=firm, state__in=("waiting", "running")).delete()  # of the firm it was copied from
    return plan_again(firm=firm, by=by, seconds=seconds, now=timezone.now())


def _plan(firm: Firm, seconds: int) -> float:
    """Seconds from asking for a plan to having it."""
    began_at, asked = monotonic(), _ask(firm, seconds)
    _wait_until(lambda: PlanRun.objects.exclude(state__in=("waiting", "running")).filter(pk=asked.pk).exists())
    return monotonic() - began_at


def _wait_until_planned() -> None:
    _wait_until(lambda: not OutboxEntry.objects.filter(task="run_planner").exclude(state__in=("done", "dead")).exists())


def _wait_until(is_so: Callable[[], bool]) -> None:
    ends_at = monotonic() + PATIENCE_SECONDS
    while not is_so():
        if monotonic() > ends_at:
            raise BenchError(f"The planner did not do what was asked within {PATIENCE_SECONDS} seconds.")
        sleep(0.1)


@contextmanager
def _workers(number: int) -> Iterator[None]:
    environment = os.environ | {"DATABASE_URL": address(), "REWIRE_DEBUG": "1", "REWIRE_BACKUPS_KEPT": "0"}
    command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "runner"]
    started = [
        subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) for _ in range(number)
    ]
    try:
        yield
    finally:
        for process in started:
            process.terminate()
            process.wait()

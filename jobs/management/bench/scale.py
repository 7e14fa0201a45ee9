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
from pathlib import Path
from statistics import quantiles
from time import monotonic, perf_counter, sleep

from django.conf import settings
from django.core.management import call_command
from django.db import connection, reset_queries
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext, override_settings
from django.urls import reverse
from django.utils import timezone

from jobs.actions.links import make_link
from jobs.actions.planning import plan_again
from jobs.management.bench import BenchError
from jobs.management.bench.many_firms import copy_firm
from jobs.management.bench.scratch import scratch_database
from jobs.models import AttemptCount, Firm, OutboxEntry, Person, PlanRun, RoomTask, SecretLink, User
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


@dataclass
class Visitor:
    """One firm's people, signed in, and what they ask for."""

    office: Client
    crew: Client
    feed: str
    tasks: Iterator[str]

    def calls(self) -> dict[str, Callable[[], HttpResponse]]:
        return {
            "week": lambda: self.office.get(reverse("week")),
            "today": lambda: self.crew.get(reverse("today")),
            "tick": lambda: self.crew.post(reverse("sync"), self._tick(), content_type="application/json"),
            "calendar": lambda: self.crew.get(self.feed),
        }

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


def run(
    tell: Callable[[str], None], *, firms: list[int], requests: int, plans: int, **options: object
) -> None:
    """A table for each number of firms, then everything as one line of JSON."""
    found: dict[str, object] = {"pages": {}, "load": os.getloadavg()[0]}
    with scratch_database() as folder, override_settings(DEBUG=False, CACHES=UNCOUNTED):
        tell("Making and planning an invented firm; about half a minute ...")
        call_command("demo", no_serve=True, stdout=StringIO())
        first = Firm.objects.earliest("pk")
        there = 1
        tell(f"\n{'firms':>6} {'what':10} {'p50 ms':>8} {'p95 ms':>8} {'x one firm':>10} {'queries':>8}")
        for number in sorted(firms):
            if number > there:
                copy_firm(first, there, number - 1)
                there = number
            found["pages"][number] = _tell_pages(tell, _visitors(number), requests, found["pages"])
        found["plans_a_minute"] = {workers: _plans_a_minute(folder, plans, workers) for workers in (1, 2)}
        tell(f"\nplans a minute: {found['plans_a_minute'][1]:.0f} with one worker, {found['plans_a_minute'][2]:.0f} with two")
        found["fairness"] = _fairness(folder, _visitors(1)[0], requests)
        tell("a tick while another firm plans: {0[beside_ms]:.1f} ms at p95, {0[alone_ms]:.1f} alone".format(found["fairness"]))
    tell(json.dumps({"scale": found}))


def _visitors(number: int) -> list[Visitor]:
    """People of at most SAMPLE firms, spread over all."""
    pks = list(Firm.objects.order_by("pk").values_list("pk", flat=True))[:: max(1, number // SAMPLE)]
    return [visitor_of(pk) for pk in pks[:SAMPLE]]


def visitor_of(firm_pk: int) -> Visitor:
    office = User.objects.filter(firm=firm_pk, person=None).earliest("pk")
    crew = User.objects.filter(firm=firm_pk, person__isnull=False).earliest("pk")
    link = SecretLink.objects.filter(firm=firm_pk, purpose="person_feed").first() or _make_feed(office)
    lines = RoomTask.objects.filter(firm=firm_pk, package__job__state="on_site").values_list("uid", flat=True)
    return Visitor(_signed_in(office), _signed_in(crew), address_path(link), cycle([str(uid) for uid in lines[:50]]))


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
    found, firms = {}, Firm.objects.count()
    one = next(iter(before.values()), None)
    for name in visitors[0].calls():
        visitors[-1].calls()[name]()  # warm
        times = _times([visitor.calls()[name] for visitor in visitors], requests)
        p50, p95 = _percentiles(times)
        ratio = p50 / one[name]["p50_ms"] if one else 1.0
        found[name] = {"p50_ms": p50, "p95_ms": p95, "over_one": ratio, "queries": _queries(visitors[-1].calls()[name])}
        tell(f"{firms:>6} {name:10} {p50:8.1f} {p95:8.1f} {ratio:10.2f} {found[name]['queries']:8}")
    return found


def _times(calls: list[Callable[[], HttpResponse]], requests: int) -> list[float]:
    """Milliseconds of each request, AT_ONCE in the air, the firms in turn."""
    taken, times = cycle(calls), []
    with ThreadPoolExecutor(AT_ONCE) as pool:
        while len(times) < requests:
            AttemptCount.objects.all().delete()  # the limit of sendings a minute is not what is measured
            times += pool.map(_timed, [next(taken) for _ in range(min(BELOW_LIMIT, requests - len(times)))])
    return times


def _timed(call: Callable[[], HttpResponse]) -> float:
    began_at = perf_counter()
    answer = call()
    if answer.status_code != 200:
        raise BenchError(f"An address answers {answer.status_code}.")
    return 1000 * (perf_counter() - began_at)


def _percentiles(times: list[float]) -> tuple[float, float]:
    parts = quantiles(times, n=20)
    return parts[9], parts[18]


def _queries(call: Callable[[], HttpResponse]) -> int:
    reset_queries()
    with override_settings(DEBUG=True), CaptureQueriesContext(connection) as asked:
        call()
    return len(asked)


def _plans_a_minute(folder: Path, plans: int, workers: int) -> float:
    """How fast the outbox is emptied of asked-for plans by so many processes."""
    OutboxEntry.objects.all().delete()
    PlanRun.objects.filter(state__in=("waiting", "running")).delete()
    firms = Firm.objects.values_list("pk", flat=True)[:plans]
    users = [User.objects.filter(firm=pk, person=None).earliest("pk") for pk in firms]
    for user in users:
        plan_again(firm=user.firm, by=user, seconds=2, now=timezone.now())
    began_at = monotonic()
    with _workers(folder, workers):
        while OutboxEntry.objects.exclude(state__in=("done", "dead")).exists() and monotonic() - began_at < 300:
            sleep(0.2)
    return 60 * len(users) / (monotonic() - began_at)


@contextmanager
def _workers(folder: Path, number: int) -> Iterator[None]:
    environment = os.environ | {"DATABASE_URL": f"sqlite:///{folder / 'bench.sqlite3'}", "REWIRE_DEBUG": "1"}
    command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "runner"]
    started = [subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL) for _ in range(number)]
    try:
        yield
    finally:
        for process in started:
            process.terminate()
            process.wait()


def _fairness(folder: Path, visitor: Visitor, requests: int) -> dict[str, float]:
    """One firm's tick alone, and while a worker plans for another firm."""
    tick = visitor.calls()["tick"]
    alone = _percentiles(_times([tick], requests // 2))[1]
    OutboxEntry.objects.all().delete()
    other = User.objects.filter(person=None).latest("pk")
    plan_again(firm=other.firm, by=other, seconds=20, now=timezone.now())
    with _workers(folder, 1):
        while not PlanRun.objects.filter(state="running").exists():
            sleep(0.1)
        beside = _percentiles(_times([tick], requests // 2))[1]
    return {"alone_ms": alone, "beside_ms": beside, "ratio": beside / alone}

"""What the guards cost: pages, a tick and a calendar on PostgreSQL with the guards, and without them, in turns."""

import json
import os
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import StringIO
from statistics import median
from time import perf_counter

from django.core.management import call_command
from django.db import connection
from django.http import HttpResponse
from django.test.utils import override_settings
from django.urls import reverse

from jobs.management.bench import BenchError
from jobs.management.bench.calendars import quiet_log
from jobs.management.bench.scale import UNCOUNTED, Visitor, grow, visitor_of
from jobs.management.bench.scratch import scratch_database
from jobs.models import AttemptCount, Firm, Job
from jobs.models.guards import guarded_tables

HELP = "what the guards of PostgreSQL cost: the same requests with them and without, in turns"
IN_A_TURN = 3
"""Requests before the other has its turn."""


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--firms", type=int, default=20, help="alike, in one database")
    parser.add_argument("--repeats", type=int, default=15, help="turns of each")
    parser.add_argument("--database", default="", help="address of a PostgreSQL database, beside which the bench makes its own")


def run(tell: Callable[[str], None], *, firms: int, repeats: int, database: str, **options: object) -> None:
    """A row for each kind of request, then everything as one line of JSON."""
    if not database.startswith("postgres"):
        raise BenchError("Only PostgreSQL has guards: name a database with --database postgresql://user@host/name.")
    with scratch_database(database), override_settings(DEBUG=False, CACHES=UNCOUNTED), quiet_log():
        tell("Making and planning an invented firm; about half a minute ...")
        call_command("demo", no_serve=True, stdout=StringIO())
        grow(firms)
        visitor, found = visitor_of(Firm.objects.latest("pk").pk), {}
        tell(f"\n{firms} firms {'guarded ms':>20} {'without ms':>12} {'ratio':>7}")
        for name, request in _requests(visitor).items():
            guarded, without = _compare(request, visitor, repeats, is_anew=name.endswith(" anew"))
            found[name] = {"guarded_ms": guarded, "without_ms": without, "ratio": guarded / without}
            tell(f"{name:16} {guarded:12.2f} {without:12.2f} {guarded / without:7.2f}")
    tell(json.dumps({"guards": found, "firms": firms, "load": os.getloadavg()[0]}))


def _requests(visitor: Visitor) -> dict[str, Callable[[], HttpResponse]]:
    calls, job = visitor.calls(), Job.objects.filter(firm=visitor.firm_pk).earliest("pk")
    tag = calls["calendar"]()["ETag"]
    return {
        "week anew": calls["week"], "week": calls["week"], "today anew": calls["today"], "today": calls["today"],
        "job anew": lambda: visitor.office.get(reverse("job", args=[job.pk])),
        "stores": lambda: visitor.office.get(reverse("stores")), "tick": calls["tick"], "calendar": calls["calendar"],
        "calendar, 304": lambda: visitor.crew.get(visitor.feed, headers={"If-None-Match": tag}),
    }


def _compare(request: Callable[[], HttpResponse], visitor: Visitor, repeats: int, *, is_anew: bool) -> tuple[float, float]:
    """Median milliseconds with the guards and without."""
    change = visitor.change if is_anew else lambda: None
    guarded, without = [], []
    for _ in range(repeats):
        AttemptCount.objects.all().delete()
        guarded += _turn(request, change)
        with _no_guards():
            without += _turn(request, change)
    return median(guarded), median(without)


def _turn(request: Callable[[], HttpResponse], change: Callable[[], object]) -> list[float]:
    request()  # warm: plans and caches of the session
    times = []
    for _ in range(IN_A_TURN):
        change()
        began_at = perf_counter()
        answer = request()
        times.append(1000 * (perf_counter() - began_at))
        if answer.status_code not in {200, 304}:
            raise BenchError(f"An address answers {answer.status_code}.")
    return times


@contextmanager
def _no_guards() -> Iterator[None]:
    """Policies off, and the session is told nothing."""
    tellers = list(connection.execute_wrappers)
    _switch("DISABLE")
    connection.execute_wrappers.clear()
    try:
        yield
    finally:
        connection.execute_wrappers.extend(tellers)
        _switch("ENABLE")


def _switch(which: str) -> None:
    with connection.cursor() as cursor:
        for table, _ in guarded_tables():
            cursor.execute(f"ALTER TABLE {table} {which} ROW LEVEL SECURITY")

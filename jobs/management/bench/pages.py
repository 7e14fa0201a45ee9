"""How long the main pages take beside a bare view that makes one query, what they ask the database, and their size."""

import gzip
import json
from argparse import ArgumentParser
from collections.abc import Callable
from dataclasses import asdict, dataclass
from io import StringIO
from statistics import median
from time import perf_counter

from django.conf import settings
from django.core.management import call_command
from django.db import connection, reset_queries
from django.test import Client
from django.test.utils import CaptureQueriesContext, override_settings
from django.urls import reverse

from jobs.management.bench import BenchError
from jobs.management.bench.lighthouse import HOW, find_lighthouse, score
from jobs.management.bench.scratch import scratch_database
from jobs.models import Booking, Job, Plan, User

HELP = "main pages: time beside a bare view, queries, gzipped size; scores when LIGHTHOUSE names Lighthouse"
SCORED = ("today", "site_job", "site_room", "room_sheet", "week", "job")
BARE = "jobs.management.bench.bare_view"


@dataclass(frozen=True)
class Measured:
    """Medians; `ratio` is the page's time over the bare view's, measured in turn with it."""

    milliseconds: float
    ratio: float
    queries: int
    gzipped_bytes: int


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--repeats", type=int, default=15, help="times each page is asked for")


def run(tell: Callable[[str], None], *, repeats: int, **options: object) -> None:
    """A table, the scores, then everything as one line of JSON."""
    program = find_lighthouse()
    with scratch_database() as folder:
        tell("Making and planning an invented firm; about half a minute ...")
        call_command("demo", no_serve=True, stdout=StringIO())
        client = _signed_in()
        pages = _tell_pages(tell, client, repeats)
        scores = score(program, _scored_paths(), _cookie(client), folder) if program else {}
    tell("\n".join(f"Lighthouse, {path}: {found}" for path, found in scores.items()) or HOW)
    tell(json.dumps({"pages": pages, "lighthouse": scores}))


def _tell_pages(tell: Callable[[str], None], client: Client, repeats: int) -> dict[str, dict[str, float]]:
    tell(f"\n{'page':14} {'ms':>7} {'x bare':>7} {'queries':>7} {'gzipped':>9}")
    found = {}
    for name, path in list_pages().items():
        row = measure(client, path, repeats)
        tell(f"{name:14} {row.milliseconds:7.1f} {row.ratio:7.1f} {row.queries:7} {row.gzipped_bytes:7} B")
        found[name] = asdict(row)
    return found


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


def measure(client: Client, path: str, repeats: int) -> Measured:
    """One page, warm; BenchError when it does not answer with a page."""
    reset_queries()  # a full log would hide how many were added
    with CaptureQueriesContext(connection) as asked:
        answer = client.get(path)
    queries = len(asked)  # the next request clears the log
    if answer.status_code != 200:
        raise BenchError(f"{path} answers {answer.status_code}.")
    with override_settings(DEBUG=False):  # in debug every query is noted down, which takes time of its own
        pairs = [(_bare_milliseconds(), _milliseconds(client, path)) for _ in range(repeats)]
    bare, page = (median(times) for times in zip(*pairs, strict=True))
    return Measured(round(page, 2), round(page / bare, 1), queries, len(gzip.compress(answer.content)))


def _bare_milliseconds() -> float:
    with override_settings(ROOT_URLCONF=BARE):
        return _milliseconds(new_client(), "/")


def _milliseconds(client: Client, path: str) -> float:
    began_at = perf_counter()
    client.get(path)
    return 1000 * (perf_counter() - began_at)


def new_client() -> Client:
    return Client(SERVER_NAME="localhost")


def _signed_in() -> Client:
    client = new_client()
    client.force_login(User.objects.filter(person=None).earliest("pk"))
    return client


def _cookie(client: Client) -> tuple[str, str]:
    name = settings.SESSION_COOKIE_NAME
    return name, client.cookies[name].value

"""An invented firm with three houses: loaded, planned, printed, served."""

from argparse import ArgumentParser
from datetime import date, datetime, time, timedelta

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from jobs import serving
from jobs.management.demo import customer, history, plan, stores, story, supply
from jobs.models import Firm
from jobs.queries.plans import find_issued
from jobs.queries.week_text import week_table
from rewire.wsgi import application

HOST = "127.0.0.1"


class Command(BaseCommand):
    help = "Try rewire with an invented firm. Its data is kept in var/demo, apart from any real one."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--fresh", action="store_true", help="start over")
        parser.add_argument("--no-serve", action="store_true", help="print the week and stop")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--today", type=date.fromisoformat, help="lay the dates around this day, YYYY-MM-DD")

    def handle(self, *, fresh: bool, no_serve: bool, port: int, today: date | None, **options: object) -> None:
        settings.SITE_URL = f"http://{HOST}:{port}"  # what links in messages lead to
        call_command("migrate", verbosity=0)
        now = _moment(today)
        if fresh or not Firm.objects.exists():
            self._load(now)
        told = story.recall(timezone.localdate(now), now)
        self._tell(f"\n{told.firm}: the week as issued\n\n{self._week(told)}\n")
        if not no_serve:
            self._serve(told, port)

    def _load(self, now: datetime) -> None:
        self._tell("Loading the invented firm and planning its three houses; about half a minute ...")
        call_command("flush", verbosity=0, interactive=False)
        with transaction.atomic():
            firm = story.begin(timezone.localdate(now), now)
            stores.fill(firm)
            supply.price(firm)
            history.work_so_far(firm)
            customer.read_calendars(firm)
            customer.show_customer(firm)
        plan.plan_and_issue(firm)
        plan.answer_first_visit(firm)
        customer.meet_deadlines(firm)
        customer.hand_over(firm)
        plan.suggest_for_next_visit(firm)
        story.call_in_sick(firm)
        stores.delay_delivery(firm)
        supply.order(firm)
        supply.load_vans(firm)
        plan.draft_anew(firm)

    def _week(self, told: story.Story) -> str:
        first = told.days.ahead(0)
        return week_table(told.firm, find_issued(told.firm), first - timedelta(days=first.weekday()))

    def _serve(self, told: story.Story, port: int) -> None:
        self._tell(_welcome(plan.addresses(told), settings.SITE_URL))
        settings.DEBUG = False  # what goes wrong is told as in a real firm, not to a developer
        try:
            serving.serve(application, host=HOST, port=port)
        except OSError as taken:
            raise CommandError(f"Port {port} cannot be used ({taken.strerror}). Try --port {port + 1}.") from taken

    def _tell(self, words: str) -> None:
        self.stdout.write(words)
        self.stdout.flush()


def _moment(today: date | None) -> datetime:
    """Now, or half past seven on the day asked for."""
    if today is None:
        return timezone.now()
    return datetime.combine(today, time(7, 30), timezone.get_default_timezone())


def _welcome(paths: plan.Addresses, site: str) -> str:
    return "\n".join((
        f"Office            {site}{paths.office}   name: {paths.username}   password: {story.OFFICE_PASSWORD}",
        f"{paths.person}’s phone   {site}{paths.phone}   (once, within ten minutes; or type {paths.phone_code} at sign-in)",
        f"{paths.trade_name}’s page   {site}{paths.trade}",
        f"{paths.customer_name}’s page   {site}{paths.customer}",
        f"A calendar        {site}{paths.calendar}",
        "Ctrl-C stops.",
    ))

"""Take the README's pictures anew."""

import os
from argparse import ArgumentParser
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.utils import timezone

from jobs.management.demo import plan, story


class Command(BaseCommand):
    help = "Take the README's pictures from a demo of their own, in Chromium."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--to", type=Path, default=settings.BASE_DIR / ".pictures", help="the folder they go to")

    def handle(self, *, to: Path, **options: object) -> None:
        # The browser's driver is a package of the tests; nobody else needs it.
        from playwright.sync_api import sync_playwright

        from jobs.management.bench.lighthouse import FLAGS, find_chromium, served
        from jobs.management.bench.scratch import scratch_database
        from jobs.management.pictures import take_pictures

        with scratch_database(), served() as site:
            settings.SITE_URL = site
            call_command("demo", no_serve=True, stdout=self.stdout)
            now = timezone.now()
            addresses = plan.addresses(story.recall(timezone.localdate(now), now))
            os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"  # the driver keeps an event loop in this thread
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=find_chromium(), args=FLAGS)
                for file in take_pictures(browser, site, addresses, story.OFFICE_PASSWORD, to):
                    self.stdout.write(f"{file}: {file.stat().st_size // 1000} kB")

"""`python -m tests.faults.drain MINUTES`: a runner whose clock is ahead, doing what is due and stopping."""

import sys
from datetime import timedelta

import django

if __name__ == "__main__":
    django.setup()

    from django.utils import timezone

    from jobs import outbox
    from tests.faults import effects  # noqa: F401  registers the task

    outbox.run_due(timezone.now() + timedelta(minutes=int(sys.argv[1])))

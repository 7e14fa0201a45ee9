"""A task whose effects can be counted: each entry makes one firm of the name it carries."""

import time
from collections import Counter
from datetime import datetime

from jobs import outbox
from jobs.models import Firm

WORK_SECONDS = 0.1


@outbox.task("make_named_firm")
def make_named_firm(name: str) -> None:
    Firm.objects.create(name=name)
    time.sleep(WORK_SECONDS)


def ask_for(count: int, *, due_at: datetime) -> None:
    for number in range(count):
        outbox.enqueue(
            key=f"make:{number}", task="make_named_firm", payload={"name": f"Firm {number}"}, due_at=due_at, firm=None
        )


def effects() -> Counter[str]:
    return Counter(Firm.objects.values_list("name", flat=True))

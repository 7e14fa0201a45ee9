from pathlib import Path

import pytest
from django.utils import timezone

from tests.faults.effects import ask_for, effects
from tests.faults.processes import kill_group, process, wait_for

pytestmark = pytest.mark.django_db(transaction=True)
DRAIN = ("-m", "tests.faults.drain")


def test_every_effect_happens_once_when_the_first_runner_is_killed_at_work(tmp_path: Path) -> None:
    log = tmp_path / "log"
    ask_for(12, due_at=timezone.now())
    with process(*DRAIN, "0", log=log) as first:
        wait_for(lambda: len(effects()) >= 2, "The second effect", log)
        kill_group(first)
    assert 2 <= len(effects()) < 12
    with process(*DRAIN, "60", log=log) as second:  # an hour later, so every lease has run out
        second.wait(60)
    assert effects() == {f"Firm {number}": 1 for number in range(12)}


def test_every_effect_happens_once_when_two_runners_work_at_the_same_time(tmp_path: Path) -> None:
    ask_for(12, due_at=timezone.now())
    log = tmp_path / "log"
    with process(*DRAIN, "0", log=log) as first, process(*DRAIN, "0", log=log) as second:
        assert [first.wait(60), second.wait(60)] == [0, 0]
    assert effects() == {f"Firm {number}": 1 for number in range(12)}

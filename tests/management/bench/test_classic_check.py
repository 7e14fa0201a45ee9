"""The check of published schedules finds what is wrong, on a project small enough to see."""

import pytest
from psplib.ProjectInstance import Activity, Mode, ProjectInstance, Resource

from jobs.management.bench.classic_check import NotAScheduleError, checked_finish

INSTANCE = ProjectInstance(
    resources=[Resource(2, True)],
    activities=[Activity([Mode(3, [1])], [2]), Activity([Mode(2, [2])], []), Activity([Mode(1, [1])], [])],
    projects=[],
)


def test_the_finish_is_told_when_everything_is_kept() -> None:
    assert checked_finish(INSTANCE, [0, 3, 5]) == 6


@pytest.mark.parametrize(
    ("starts", "words"),
    [
        ([0, 3, 2], "activity 2 starts before 0 has ended"),
        ([0, 2, 4], "3 of resource 0 are taken at 2, of 2"),
        ([-1, 3, 5], "activity 0 starts before the beginning"),
        ([0, 3], "2 starts for 3 activities"),
    ],
)
def test_what_is_broken_is_said_when_something_is(starts: list[int], words: str) -> None:
    with pytest.raises(NotAScheduleError, match=words):
        checked_finish(INSTANCE, starts)

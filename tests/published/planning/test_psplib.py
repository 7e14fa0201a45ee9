"""The planner's core on published instances with known optima (source: see `psplib_instances`)."""

import pytest
from psplib.ProjectInstance import Activity, Mode, ProjectInstance, Resource

from jobs.core.planning import classic
from jobs.management.bench.classic_check import checked_finish
from tests.published.planning.psplib_instances import J30


@pytest.mark.parametrize(("name", "optimum", "project"), J30, ids=[name for name, _, _ in J30])
def test_the_published_optimum_is_found_and_proven_when_a_j30_instance_is_solved(
    name: str, optimum: int, project: classic.Project
) -> None:
    answer = classic.solve(project, seconds=60)
    assert (answer.finish, answer.bound) == (optimum, optimum)
    assert checked_finish(as_read(project), answer.starts) == optimum


def as_read(project: classic.Project) -> ProjectInstance:
    """The instance as the `psplib` package has it."""
    activities = [
        Activity([Mode(length, list(demands))], list(after))
        for length, demands, after in zip(project.durations, project.demands, project.successors, strict=True)
    ]
    return ProjectInstance([Resource(capacity, True) for capacity in project.capacities], activities, [])

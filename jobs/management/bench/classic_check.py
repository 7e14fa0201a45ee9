"""Is a schedule of a published instance one at all? Works on the instance as its file was read, and knows no solver."""

from collections.abc import Sequence


class NotAScheduleError(Exception):
    """What a schedule breaks, in words."""


def checked_finish(instance, starts: Sequence[int]) -> int:
    """When everything is finished; NotAScheduleError when something overlaps that must not.

    `instance`: as the `psplib` package reads it, each activity with one mode.
    """
    if len(starts) != len(instance.activities):
        raise NotAScheduleError(f"{len(starts)} starts for {len(instance.activities)} activities")
    lengths = [activity.modes[0].duration for activity in instance.activities]
    ends = [start + length for start, length in zip(starts, lengths, strict=True)]
    _check_order(instance, starts, ends)
    _check_resources(instance, starts, ends)
    return max(ends)


def _check_order(instance, starts: Sequence[int], ends: Sequence[int]) -> None:
    for number, activity in enumerate(instance.activities):
        if starts[number] < 0:
            raise NotAScheduleError(f"activity {number} starts before the beginning")
        for after in activity.successors:
            if starts[after] < ends[number]:
                raise NotAScheduleError(f"activity {after} starts before {number} has ended")


def _check_resources(instance, starts: Sequence[int], ends: Sequence[int]) -> None:
    """What is taken only rises where something starts, so those moments are enough."""
    for moment in set(starts):
        running = [a for a, start, end in zip(instance.activities, starts, ends, strict=True) if start <= moment < end]
        for place, resource in enumerate(instance.resources):
            taken = sum(activity.modes[0].demands[place] for activity in running)
            if taken > resource.capacity:
                raise NotAScheduleError(f"{taken} of resource {place} are taken at {moment}, of {resource.capacity}")

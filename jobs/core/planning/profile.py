"""What is left of each resource in each session, kept as bit masks so that finding room is a few AND operations."""

from jobs.core.planning.network import Mode, Network

Mask = int
"""Bit s stands for session s."""


def span_mask(first: int, end: int) -> Mask:
    """Sessions from `first` up to, not including, `end`."""
    return ((1 << max(0, end - first)) - 1) << first


def runs(mask: Mask, length: int) -> Mask:
    """Sessions from which `length` sessions in a row are set."""
    done = 1
    while done < length:
        step = min(done, length - done)
        mask &= mask >> step
        done += step
    return mask


def lowest(mask: Mask) -> int | None:
    """The first session of a mask, or None when it is empty."""
    return (mask & -mask).bit_length() - 1 if mask else None


def levels(row: tuple[int, ...]) -> list[Mask]:
    """For each amount from 0 up, the sessions in which a resource has at least that much."""
    found = [0] * (max(row, default=0) + 1)
    for session, count in enumerate(row):
        for level in range(count + 1):
            found[level] |= 1 << session
    return found


def empty_room(network: Network) -> list[list[Mask]]:
    """The room of a schedule with nothing in it yet."""
    known: dict[tuple[int, ...], list[Mask]] = {}
    return [known.get(row) or known.setdefault(row, levels(row)) for row in network.capacity]


class Profile:
    """`room[r][d]` has the sessions with at least d of resource r left."""

    __slots__ = ("room", "every", "_fitting")

    def __init__(self, network: Network, room: list[list[Mask]]) -> None:
        self.every = span_mask(0, network.horizon)
        self.room = room[:]
        self._fitting: dict[tuple[tuple[int, int], ...], Mask] = {}

    def fits(self, mode: Mode) -> Mask:
        """Sessions in which the mode's demands are there."""
        needs = mode.needs
        mask = self._fitting.get(needs)
        if mask is None:
            mask = self._fitting[needs] = self._fits(needs)
        return mask

    def _fits(self, needs: tuple[tuple[int, int], ...]) -> Mask:
        mask = self.every
        for resource, demand in needs:
            levels = self.room[resource]
            mask &= levels[demand] if demand < len(levels) else 0
        return mask

    def take(self, mode: Mode, first: int, end: int) -> None:
        """Book the mode's demands from session `first` up to `end`."""
        if end <= first:
            return
        inside = span_mask(first, end)
        outside = ~inside
        for resource, demand in mode.needs:
            levels = self.room[resource]
            lowered = [*levels[demand:], *([0] * demand)]
            self.room[resource] = [(old & outside) | (low & inside) for old, low in zip(levels, lowered, strict=False)]
        self._fitting = {}

    def snapshot(self) -> list[list[Mask]]:
        """What `restore` needs to undo what is taken from now on."""
        return self.room[:]

    def restore(self, room: list[list[Mask]]) -> None:
        """Back to a snapshot, which serves once: the profile goes on working in it."""
        self.room, self._fitting = room, {}

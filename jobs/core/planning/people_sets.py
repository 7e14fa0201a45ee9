"""Turn crews of named people into cumulative resources, so that whatever fits can be staffed.

Hall's theorem: the places of all crews working in a session can be filled by different people exactly
when, for every union T of places, no more places lie within T than T has people present. So each such
union becomes a resource: a crew takes one of it for each of its places that lies within it, and its
capacity in a session is how many of its people are there.
"""

from collections.abc import Iterable
from functools import lru_cache

from jobs.core.planning.crews import Place

MOST_SETS = 96
"""Beyond this many unions the largest are left out; naming then may fail, which the rules report."""


def unions(places: Iterable[Place]) -> tuple[Place, ...]:
    """All unions of the given places, smallest first."""
    basic = sorted({place for place in places if place}, key=_size_then_names)
    found: set[Place] = set()
    for place in basic:
        found |= {place} | {place | other for other in found}
        if len(found) > MOST_SETS:
            found = set(sorted(found | set(basic), key=_size_then_names)[:MOST_SETS])
    return tuple(sorted(found, key=_size_then_names))


@lru_cache(maxsize=4096)
def demands(places: tuple[Place, ...], sets: tuple[Place, ...]) -> tuple[int, ...]:
    """How much a crew takes of each set: its places that only people of the set can fill."""
    return tuple(sum(place <= people for place in places) for people in sets)


def _size_then_names(place: Place) -> tuple[int, list[str]]:
    return len(place), sorted(place)

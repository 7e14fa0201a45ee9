"""Capacity of unions of places decides staffing (Hall 1935, On representatives of subsets)."""

from hypothesis import given
from hypothesis import strategies as st

from jobs.core.planning import crews, people_sets

PLACES = st.lists(st.frozensets(st.sampled_from("abcde"), min_size=1), min_size=1, max_size=4)


@given(PLACES, st.frozensets(st.sampled_from("abcde")))
def test_places_can_be_filled_when_no_union_is_short_of_people(places: list[frozenset[str]], present: frozenset[str]) -> None:
    sets = people_sets.unions(places)
    demands = people_sets.demands(tuple(places), sets)
    has_room = all(demand <= len(people & present) for demand, people in zip(demands, sets, strict=True))
    assert has_room == crews.can_fill(place & present for place in places)

from hypothesis import given

from jobs.core.cutting.closest_fill import cut_by_closest_fill
from jobs.core.cutting.first_fit import cut_by_first_fit
from jobs.core.cutting.quick import cut_quickly
from tests.core.cutting.test_first_fit import requests


@given(requests)
def test_better_of_both_is_taken(request):
    both = cut_by_first_fit(request), cut_by_closest_fill(request)
    assert cut_quickly(request).merit == min(found.merit for found in both)

"""Cut lists against one-dimensional bin-packing instances with a published optimum, and a worked example."""

from decimal import Decimal

import pytest

from jobs.core.cut_list import Request, Run, faults, least_new_drums
from jobs.core.cutting.exact import cut_exactly
from jobs.core.cutting.first_fit import cut_by_first_fit
from jobs.core.cutting.quick import cut_quickly

# Scholl, Klein, Jürgens (1997), BISON, Computers & Operations Research 24, data set 1, instance N1C1W1_A:
# 50 items, capacity 100, optimum 25.
N1C1W1_A = (
    99, 99, 96, 96, 92, 92, 91, 88, 87, 86, 85, 76, 74, 72, 69, 67, 67, 62, 61, 56, 52, 51, 49, 46, 44,
    42, 40, 40, 33, 33, 30, 30, 29, 28, 28, 27, 25, 24, 23, 22, 21, 20, 17, 14, 13, 11, 10, 7, 7, 3,
)  # fmt: skip
# The same authors' data set 2, instance N1W1B1R0: 50 items, capacity 1000, optimum 18.
N1W1B1R0 = (
    395, 394, 394, 391, 390, 389, 388, 384, 383, 382, 380, 379, 376, 371, 368, 365, 360, 360, 354, 350, 346, 346, 344,
    342, 340, 335, 335, 333, 330, 330, 328, 327, 317, 316, 311, 310, 310, 306, 300, 300, 297, 296, 295, 294, 294, 286,
    285, 278, 275, 275,
)  # fmt: skip
# Falkenauer (1996), A hybrid grouping genetic algorithm for bin packing, Journal of Heuristics 2, instance u120_00
# (OR-Library, binpack1): 120 items, capacity 150, optimum 48.
U120_00 = (
    42, 69, 67, 57, 93, 90, 38, 36, 45, 42, 33, 79, 27, 57, 44, 84, 86, 92, 46, 38, 85, 33, 82, 73, 49, 70, 59, 23, 57,
    72, 74, 69, 33, 42, 28, 46, 30, 64, 29, 74, 41, 49, 55, 98, 80, 32, 25, 38, 82, 30, 35, 39, 57, 84, 62, 50, 55, 27,
    30, 36, 20, 78, 47, 26, 45, 41, 58, 98, 91, 96, 73, 84, 37, 93, 91, 43, 73, 85, 81, 79, 71, 80, 76, 83, 41, 78, 70,
    23, 42, 87, 43, 84, 60, 55, 49, 78, 73, 62, 36, 44, 94, 69, 32, 96, 70, 84, 58, 78, 25, 80, 58, 66, 83, 24, 98, 60,
    42, 43, 43, 39,
)  # fmt: skip
# Schwerin and Wäscher (1997), The bin-packing problem, International Transactions in Operational Research 4, class 1,
# instance 1 (as distributed by BPPLIB): 100 items, capacity 1000, optimum 18.
SCHWERIN_1 = (
    200, 200, 200, 199, 198, 198, 197, 197, 194, 194, 193, 192, 191, 191, 191, 190, 190, 189, 188, 188, 187, 187, 186,
    185, 185, 185, 185, 184, 184, 184, 183, 183, 183, 182, 182, 182, 181, 181, 180, 179, 179, 179, 179, 178, 177, 177,
    177, 177, 175, 174, 173, 173, 172, 171, 171, 171, 170, 170, 169, 169, 169, 167, 167, 165, 165, 164, 163, 163, 163,
    163, 162, 161, 160, 160, 159, 158, 158, 158, 157, 156, 156, 156, 156, 156, 156, 155, 155, 155, 154, 154, 153, 152,
    152, 152, 151, 151, 150, 150, 150, 150,
)  # fmt: skip
PUBLISHED = [(N1C1W1_A, 100, 25), (N1W1B1R0, 1000, 18), (U120_00, 150, 48), (SCHWERIN_1, 1000, 18)]


def instance(sizes: tuple[int, ...], capacity: int) -> Request:
    return Request(tuple(Run(f"{n}", Decimal(size)) for n, size in enumerate(sizes)), new_drum_metres=Decimal(capacity))


@pytest.mark.parametrize("sizes, capacity, optimum", [(N1C1W1_A, 100, 25), (SCHWERIN_1, 1000, 18)])
def test_published_optimum_is_reached_and_proven_at_once(sizes, capacity, optimum):
    found = cut_quickly(instance(sizes, capacity))
    assert (found.new_drums, found.least_new_drums) == (optimum, optimum)


@pytest.mark.parametrize("sizes, capacity, optimum", [(N1W1B1R0, 1000, 18), (U120_00, 150, 48)])
def test_published_optimum_is_reached_by_search(sizes, capacity, optimum):
    request = instance(sizes, capacity)
    found = cut_exactly(request, seconds=12)
    assert (found.new_drums, faults(request, found)) == (optimum, [])


@pytest.mark.parametrize("sizes, capacity, optimum", PUBLISHED)
def test_bound_never_exceeds_the_published_optimum(sizes, capacity, optimum):
    assert least_new_drums(instance(sizes, capacity)) <= optimum


def test_bound_of_the_paper_mill_example():
    """Cutting-stock example of 13 orders and 219 pieces on 5600 mm rolls; at least 73 rolls.

    Numbers from memory of the worked example in the encyclopedia article "Cutting stock problem".
    """
    orders = {
        1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20,
        2000: 10, 2050: 12, 2100: 14, 2140: 16, 2150: 18, 2200: 20,
    }  # fmt: skip
    pieces = tuple(width for width, count in orders.items() for _ in range(count))
    assert (len(pieces), least_new_drums(instance(pieces, 5600))) == (219, 73)


def test_worked_example_of_seven_runs_on_two_drums():
    """Worked example by hand: first-fit decreasing leaves 4.88 m and 4.00 m on two drums of 100 m."""
    runs = ("65.12", "30", "28", "22", "18", "16", "12")
    request = Request(tuple(Run(f"C{number}", Decimal(each)) for number, each in enumerate(runs)))
    cuts = cut_by_first_fit(request).cuts
    assert [[str(run.metres) for run in cut.runs] for cut in cuts] == [["65.12", "30"], ["28", "22", "18", "16", "12"]]
    assert [str(cut.left_metres) for cut in cuts] == ["4.88", "4"]


def test_worked_example_cannot_be_cut_from_fewer_drums():
    runs = ("65.12", "30", "28", "22", "18", "16", "12")
    found = cut_exactly(Request(tuple(Run(f"C{number}", Decimal(each)) for number, each in enumerate(runs))))
    assert (found.new_drums, found.least_new_drums, found.is_proven) == (2, 2, True)

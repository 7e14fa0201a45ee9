"""Cut lists beside plain first-fit decreasing, and netting beside a plain loop, in the same run."""

import json
from argparse import ArgumentParser
from bisect import insort
from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal
from random import Random
from time import perf_counter

from jobs.core import netting
from jobs.core.cut_list import Request, Run, faults, least_new_drums
from jobs.core.cutting.exact import cut_exactly
from jobs.core.cutting.quick import cut_quickly
from jobs.core.netting import Arrival, OnHand, Requirement, Supply
from jobs.core.workdays import Calendar

HELP = "cut lists beside first-fit decreasing, netting beside a plain loop"
DRUM = Decimal(100)
NOW = datetime(2027, 1, 12, 9, 30)  # noqa: DTZ001  netting speaks the firm's own clock


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--houses", type=int, default=200, help="generated for the cut lists")
    parser.add_argument("--seconds", type=float, default=2.0, help="for the best cut list of a house")
    parser.add_argument("--jobs", type=int, default=50, help="of the netting")
    parser.add_argument("--items", type=int, default=300, help="of the netting")
    parser.add_argument("--repeat", type=int, default=5, help="each way of netting, the best of so many")


def run(
    tell: Callable[[str], None], *, houses: int, seconds: float, jobs: int, items: int, repeat: int, **options: object
) -> None:
    """A table for each part, then everything as one line of JSON."""
    cuts = measure_cuts(houses, seconds)
    tell(f"{'cut list':<22} {'drums':>6} {'over bound':>10} {'houses at bound':>15}")
    for row in cuts["ways"]:
        tell(f"{row['way']:<22} {row['drums']:>6} {row['over_bound_percent']:>8.2f} % {row['at_bound']:>9} of {houses}")
    tell(f"proven bound: {cuts['bound']} drums for {cuts['runs']} runs in {houses} houses")
    net = measure_netting(jobs, items, repeat)
    tell(f"netting {jobs} jobs x {items} items, {net['requirements']} needs: {net['seconds'] * 1000:.0f} ms, "
         f"plain loop {net['plain_seconds'] * 1000:.0f} ms, {net['ratio']:.1f} times as fast; same shortages: {net['is_same']}")
    tell(json.dumps({"stores": {"cuts": cuts, "netting": net}}))


def house(number: int) -> Request:
    """The runs of one cable in a generated house: short drops, circuits of a floor, the odd long way round."""
    random = Random(number)
    metres = [random.triangular(4, 70, 22) for _ in range(random.randint(8, 28))]
    runs = tuple(Run(f"C{index}", Decimal(f"{each:.2f}")) for index, each in enumerate(metres, 1))
    return Request(runs, new_drum_metres=DRUM)


def first_fit_decreasing(metres: Sequence[Decimal], size: Decimal) -> int:
    """Drums that the textbook's rule takes; written apart from the product's own."""
    left: list[Decimal] = []
    for each in sorted(metres, reverse=True):
        place = next((index for index, room in enumerate(left) if room >= each), None)
        if place is None:
            left.append(size - each)
        else:
            left[place] -= each
    return len(left)


def measure_cuts(houses: int, seconds: float) -> dict[str, object]:
    """`bound`: the larger of what the lengths alone demand and what the solver proved, house by house."""
    counts: dict[str, list[int]] = {"plain first fit": [], "rewire, at once": [], "rewire, best": []}
    bounds, runs = [], 0
    for number in range(houses):
        request = house(number)
        best = cut_exactly(request, seconds=seconds)
        if wrong := faults(request, best):
            raise AssertionError(wrong[0])
        counts["plain first fit"].append(first_fit_decreasing([run.metres for run in request.runs], DRUM))
        counts["rewire, at once"].append(cut_quickly(request).new_drums)
        counts["rewire, best"].append(best.new_drums)
        bounds.append(max(least_new_drums(request), best.least_new_drums))
        runs += len(request.runs)
    return {"runs": runs, "bound": sum(bounds), "ways": [_way(way, drums, bounds) for way, drums in counts.items()]}


def _way(way: str, drums: list[int], bounds: list[int]) -> dict[str, object]:
    over = 100 * (sum(drums) - sum(bounds)) / sum(bounds)
    at_bound = sum(mine == bound for mine, bound in zip(drums, bounds, strict=True))
    return {"way": way, "drums": sum(drums), "over_bound_percent": round(over, 3), "at_bound": at_bound}


def measure_netting(jobs: int, items: int, repeat: int) -> dict[str, object]:
    requirements, on_hand, arrivals = portfolio(jobs, items)
    supplies, calendar = {item: Supply() for item in range(items)}, Calendar()

    def ours() -> dict[int, netting.Projection]:
        return netting.net(requirements, on_hand, arrivals, supplies, now=NOW, calendar=calendar)

    def plain() -> dict[int, list[tuple[int, Decimal]]]:
        return plain_shortages(requirements, on_hand, arrivals, range(items))

    seconds, found = _best_of(ours, repeat)
    plain_seconds, expected = _best_of(plain, repeat)
    short = {item: [(each.requirement.key, each.quantity) for each in row.shortages] for item, row in found.items()}
    return {
        "requirements": len(requirements), "seconds": round(seconds, 4), "plain_seconds": round(plain_seconds, 4),
        "ratio": round(plain_seconds / seconds, 2), "shortages": sum(map(len, short.values())),
        "is_same": all(short.get(item, []) == rows for item, rows in expected.items()),
    }


def _best_of(call: Callable[[], dict], repeat: int) -> tuple[float, dict]:
    times, found = [], {}
    for _ in range(repeat):
        began = perf_counter()
        found = call()
        times.append(perf_counter() - began)
    return min(times), found


def portfolio(jobs: int, items: int) -> tuple[list[Requirement], list[OnHand], list[Arrival]]:
    """Every job takes some of each item in three packages, spread over a quarter."""
    random, calendar = Random(1), Calendar()
    days = [on for on in (date(2027, 1, 12) + timedelta(days=n) for n in range(90)) if calendar.is_working(on)]
    requirements, key = [], 0
    for job in range(jobs):
        for on in random.sample(days, 3):
            key += 1
            wanted = random.sample(range(items), items // 3)
            requirements += [Requirement(key, item, Decimal(random.randint(1, 9)), on, job=job) for item in wanted]
    on_hand = [OnHand(item, Decimal(random.randint(0, 120))) for item in range(items)]
    arrivals = [Arrival(item, Decimal(random.randint(10, 60)), random.choice(days)) for item in range(items)]
    return requirements, on_hand, arrivals


def plain_shortages(
    requirements: Sequence[Requirement], on_hand: Sequence[OnHand], arrivals: Sequence[Arrival], items: Sequence[int]
) -> dict[int, list[tuple[int, Decimal]]]:
    """For each item in turn, read every row and walk through its needs in order: what each makes the stock owe more."""
    found = {}
    for item in items:
        queue: list[tuple[tuple, int, Decimal, date]] = []
        for each in requirements:
            if each.item == item:
                insort(queue, (each.order, each.key, each.quantity, each.needed_on))
        held = sum((each.quantity for each in on_hand if each.item == item), Decimal(0))
        asked, rows = Decimal(0), []
        for _, key, quantity, on in queue:
            asked += quantity
            there = held + sum((each.quantity for each in arrivals if each.item == item and each.on <= on), Decimal(0))
            if (short := min(quantity, asked - there)) > 0:
                rows.append((key, short))
        found[item] = rows
    return found

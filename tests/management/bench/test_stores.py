import json
from decimal import Decimal

from jobs.core.cutting.first_fit import cut_by_first_fit
from jobs.management.bench import stores


def test_plain_first_fit_takes_what_the_products_own_takes():
    requests = [stores.house(number) for number in range(5)]
    plain = [stores.first_fit_decreasing([run.metres for run in each.runs], Decimal(100)) for each in requests]
    assert plain == [cut_by_first_fit(each).new_drums for each in requests]


def test_netting_finds_the_same_shortages_as_the_plain_loop():
    found = stores.measure_netting(6, 12, 1)
    assert found["is_same"]
    assert found["shortages"] > 0


def test_the_last_line_is_json_when_everything_was_measured():
    told = []
    stores.run(told.append, houses=2, seconds=0.3, jobs=3, items=6, repeat=1)
    found = json.loads(told[-1])["stores"]
    assert [row["way"] for row in found["cuts"]["ways"]] == ["plain first fit", "rewire, at once", "rewire, best"]
    assert all(row["drums"] >= found["cuts"]["bound"] for row in found["cuts"]["ways"])

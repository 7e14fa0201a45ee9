import json

from jobs.core.planning import measure_risk, quick_plan
from jobs.core.planning.portfolios import portfolio
from jobs.core.planning.spreads import Spreads
from jobs.management.bench import risk


def test_both_ways_agree_within_half_a_day_when_the_same_plan_is_drawn() -> None:
    problem = portfolio(3, 1, 3)
    plan = quick_plan(problem)
    plain, ranges = risk.plain_safe_ends(problem, plan, 1500), measure_risk(problem, plan, Spreads()).ranges
    assert {key for key, safe in plain.items() if abs(safe - ranges[key].safe_last) > 1} == set()


def test_the_last_line_is_json_when_everything_was_measured(monkeypatch) -> None:
    monkeypatch.setattr(risk, "PORTFOLIOS", ((1, 3),))
    told = []
    risk.run(told.append, draws=500, plain_draws=5, repeat=1)
    [row] = json.loads(told[-1])["risk"]
    assert row.keys() >= {"plain_draws_per_second", "draws_per_second", "ratio"}
    assert row["activities"] == len(quick_plan(portfolio(1, 1, 3)).spans)

from decimal import Decimal as D

from jobs.core.drying import Air, DryingRule, drying_days

BACKING = DryingRule(minimum_days=14, cold_minimum_days=28)
LIME = DryingRule(minimum_days=28, cold_minimum_days=42, days_per_mm=D("5.6"), cold_days_per_mm=D("8.4"))
PLAIN = DryingRule(minimum_days=5)


def test_least_days_count_when_the_coat_is_thin():
    assert drying_days(LIME, 3) == 28


def test_thickness_counts_when_it_takes_longer():
    assert drying_days(LIME, 15) == 84


def test_cool_air_takes_half_as_long_again_when_warm_is_known():
    assert drying_days(PLAIN, 3, Air.COOL) == 8


def test_cold_figures_of_the_table_count_when_it_has_them():
    assert drying_days(BACKING, 13, Air.COLD) == 28
    assert drying_days(LIME, 10, Air.COLD) == 84


def test_cold_air_doubles_the_days_when_the_table_has_no_cold_figures():
    assert drying_days(PLAIN, 3, Air.COLD) == 10

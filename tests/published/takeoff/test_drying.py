"""How long plaster dries."""

import pytest

from jobs.core.drying import Air, DryingRule, drying_days


@pytest.mark.parametrize(("air", "days"), [(Air.WARM, 13), (Air.COOL, 20), (Air.COLD, 26)])
def test_a_millimetre_dries_in_a_day_when_warm_and_ventilated(air, days):
    """1 day a millimetre, 1.5 and 2 times as long in cool and cold air (common practice, no source)."""
    assert drying_days(DryingRule(minimum_days=3, days_per_mm=1), 13, air) == days

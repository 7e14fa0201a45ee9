"""Small words of the week page."""

from decimal import Decimal

import pytest

from jobs.core.stages import Stage
from jobs.templatetags.week import in_hours, stage_letter


@pytest.mark.parametrize(
    "hours, words", [("2", "2 h"), ("2.50", "2½ h"), ("0.75", "¾ h"), ("0.25", "¼ h"), ("1.40", "1.40 h"), ("0.10", "0.10 h")]
)
def test_hours_are_written_in_quarters(hours, words):
    assert in_hours(Decimal(hours)) == words


def test_every_stage_has_its_own_letter():
    assert len({stage_letter(stage) for stage in Stage}) == len(Stage)

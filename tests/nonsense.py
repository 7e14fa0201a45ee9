"""Nonsense as people, programs and strangers send it, for tests that anything is answered in words."""

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

NONSENSE = [
    "", " ", "0", "-1", "1", "1e9", "-1e309", "NaN", "Infinity", "999999999999999999999", "0.0000001", "1,5", "½", "½ m", "on",
    "0000-00-00", "0001-01-01", "9999-12-31", "2027-02-30", "2027-02-28", "24:00", "08:00", "12:30:99", "null", "[]", "{}",
    "a" * 5000, "\x00", "\ud83d\ude00".encode("utf-16", "surrogatepass").decode("utf-16"), "\r\nBCC: x@y.example",
    "=1+1", "<script>alert(1)</script>", "' OR 1=1 --", "../../etc/passwd", "x@y.example", "javascript:alert(1)", "٣", "１２",
]
TEXTS = st.one_of(
    st.sampled_from(NONSENSE), st.text(max_size=40), st.integers().map(str), st.decimals().map(str),
    st.dates().map(str),
)
VALUES = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), TEXTS),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(TEXTS, inner, max_size=3)),
    max_leaves=6,
)
"""Whatever JSON can carry, and a little more."""


def check_many(config: pytest.Config, strategy: st.SearchStrategy, check: Callable[[object], None], *, times: float) -> None:
    """`check` as many examples of `strategy` as `--nonsense` says, times `times`."""
    @settings(max_examples=int(config.getoption("nonsense") * times), database=None, suppress_health_check=list(HealthCheck))
    @given(strategy)
    def checked(example: object) -> None:
        check(example)

    checked()


def told_in_words(trouble: Exception) -> None:
    assert str(trouble)

from datetime import timedelta

import pytest

from jobs.actions.attempts import TooOften, count_attempt, forget_attempts
from jobs.models import AttemptCount
from tests.factories import NOW

pytestmark = pytest.mark.django_db

MINUTE = timedelta(minutes=1)


def try_once(who: str = "192.0.2.1", at=NOW) -> None:
    count_attempt(what="code", who=who, most=2, window=MINUTE, now=at)


def test_third_try_is_refused_when_two_are_allowed():
    try_once()
    try_once()

    with pytest.raises(TooOften, match="Wait a minute"):
        try_once()


def test_tries_are_allowed_again_when_the_window_is_over():
    try_once()
    try_once()

    try_once(at=NOW + MINUTE)

    assert AttemptCount.objects.get().attempts == 1


def test_others_are_not_held_up_when_one_tries_too_often():
    try_once()
    try_once()

    try_once(who="192.0.2.2")


def test_counting_starts_over_when_attempts_are_forgotten():
    try_once()
    try_once()
    forget_attempts(what="code", who="192.0.2.1")

    try_once()


def test_counts_of_yesterday_are_cleared_away_when_somebody_new_tries():
    try_once()

    try_once(who="192.0.2.2", at=NOW + timedelta(days=2))

    assert AttemptCount.objects.count() == 1


def test_key_holds_no_address_in_the_clear():
    try_once()

    assert "192.0.2.1" not in AttemptCount.objects.get().key

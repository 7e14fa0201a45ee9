from datetime import date

from jobs.core.away import AwayStretch, away_stretches, halves_of
from jobs.core.stages import Half

MONDAY, TUESDAY, WEDNESDAY = date(2027, 1, 11), date(2027, 1, 12), date(2027, 1, 13)


def test_whole_days_become_one_stretch_when_they_follow_each_other():
    assert away_stretches(halves_of(MONDAY, WEDNESDAY)) == [AwayStretch(MONDAY, WEDNESDAY)]


def test_half_stands_alone_when_the_days_around_it_are_whole():
    halves = [*halves_of(MONDAY, MONDAY), (TUESDAY, Half.AFTERNOON), *halves_of(WEDNESDAY, WEDNESDAY)]
    assert away_stretches(halves) == [
        AwayStretch(MONDAY, MONDAY), AwayStretch(TUESDAY, TUESDAY, Half.AFTERNOON), AwayStretch(WEDNESDAY, WEDNESDAY),
    ]


def test_stretch_ends_when_a_day_between_is_free():
    halves = [*halves_of(MONDAY, MONDAY), *halves_of(WEDNESDAY, WEDNESDAY)]
    assert len(away_stretches(halves)) == 2


def test_one_half_is_given_when_only_it_is_asked_for():
    assert list(halves_of(MONDAY, MONDAY, Half.MORNING)) == [(MONDAY, Half.MORNING)]

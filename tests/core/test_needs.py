from decimal import Decimal

from jobs.core.needs import Need, left_to_take

UPSTAIRS, DOWNSTAIRS, JOB, BOX = 1, 2, 7, 11


def need(package: int, quantity: int) -> Need:
    return Need(package, JOB, BOX, Decimal(quantity))


def left(needs, by_package=None, by_job=None):
    found = left_to_take(
        needs,
        {(package, BOX): Decimal(quantity) for package, quantity in (by_package or {}).items()},
        {(JOB, BOX): Decimal(by_job or 0)},
    )
    return {package: int(quantity) for (package, _), quantity in found.items()}


def test_everything_is_left_when_nothing_was_used():
    assert left([need(UPSTAIRS, 8)]) == {UPSTAIRS: 8}


def test_ticks_lessen_their_own_package_only():
    assert left([need(UPSTAIRS, 8), need(DOWNSTAIRS, 8)], {DOWNSTAIRS: 3}) == {UPSTAIRS: 8, DOWNSTAIRS: 5}


def test_nothing_is_left_when_more_was_used_than_reckoned():
    assert left([need(UPSTAIRS, 8), need(DOWNSTAIRS, 2)], {UPSTAIRS: 11}) == {DOWNSTAIRS: 2}


def test_use_without_a_package_serves_the_earlier_one_first():
    assert left([need(DOWNSTAIRS, 4), need(UPSTAIRS, 8)], by_job=6) == {UPSTAIRS: 6}


def test_what_came_back_is_wanted_again():
    assert left([need(UPSTAIRS, 8)], {UPSTAIRS: -2}) == {UPSTAIRS: 8}

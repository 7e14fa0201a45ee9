from decimal import Decimal

from jobs.core.van_load import Fetch, Load, Trip, plan_loads

ADA, IVO = 1, 2
ADAS_VAN, IVOS_VAN, UNIT, SITE = 21, 22, 23, 24
PACKAGE, OTHER, JOB, BOX = 31, 32, 41, 51


def trip(person: int = ADA, package: int = PACKAGE, hours: float = 8, van: int | None = ADAS_VAN) -> Trip:
    return Trip(person, package, JOB, hours, van)


def loads(trips, held=None, needs=None) -> list[Load]:
    needs = needs or {PACKAGE: {BOX: Decimal(10)}}
    quantities = {(BOX, place): Decimal(quantity) for place, quantity in (held or {}).items()}
    return plan_loads(trips, needs, quantities, {JOB: SITE}, [UNIT, ADAS_VAN, IVOS_VAN])


def only(*args, **kwargs) -> Load:
    (load,) = loads(*args, **kwargs)
    return load


def test_site_and_van_are_used_before_the_unit():
    load = only([trip()], {SITE: 3, ADAS_VAN: 2, UNIT: 40})
    assert (load.on_site, load.on_van, load.fetch) == (3, 2, [Fetch(UNIT, Decimal(5))])


def test_nothing_is_fetched_when_the_site_has_all():
    assert only([trip()], {SITE: 30}).fetch == []


def test_another_van_helps_out_when_the_unit_is_short():
    assert only([trip()], {UNIT: 4, IVOS_VAN: 9}).fetch == [Fetch(UNIT, Decimal(4)), Fetch(IVOS_VAN, Decimal(6))]


def test_rest_is_missing_when_nobody_has_it():
    assert only([trip()], {UNIT: 4}).missing == 6


def test_owed_stock_counts_as_none():
    assert only([trip()], {UNIT: -4}).missing == 10


def test_one_person_loads_when_two_go_to_a_package():
    (load,) = loads([trip(ADA, hours=4), trip(IVO, hours=8, van=IVOS_VAN)], {UNIT: 40})
    assert load.person == IVO


def test_person_with_a_van_loads_before_one_without():
    (load,) = loads([trip(ADA, hours=8, van=None), trip(IVO, hours=4, van=IVOS_VAN)], {UNIT: 40})
    assert load.person == IVO


def test_stock_is_given_out_once_when_two_packages_want_it():
    needs = {PACKAGE: {BOX: Decimal(10)}, OTHER: {BOX: Decimal(10)}}
    first, second = loads([trip(), trip(IVO, OTHER, van=IVOS_VAN)], {UNIT: 15}, needs)
    assert (first.missing, second.missing) == (0, 5)


def test_own_van_is_not_emptied_by_others_when_its_driver_needs_it():
    needs = {PACKAGE: {BOX: Decimal(10)}, OTHER: {BOX: Decimal(10)}}
    first, second = loads([trip(), trip(IVO, OTHER, van=IVOS_VAN)], {IVOS_VAN: 10}, needs)
    assert (first.missing, second.on_van) == (10, 10)

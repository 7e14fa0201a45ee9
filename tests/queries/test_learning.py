from datetime import timedelta
from decimal import Decimal

import pytest

from jobs.core.planning.spreads import PRIOR_SPREADS, Spreads
from jobs.core.stages import Stage
from jobs.models import LabourNorm, RoomTask
from jobs.queries.learning import find_suggestion, list_suggestions, load_spreads
from tests.factories import NOW, make_firm
from tests.learning import finish, finish_in, make_surveyed_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def firm():
    return make_firm(with_catalogue=True)


@pytest.fixture
def norm(firm):
    return socket_norm(firm, "masonry")


def socket_norm(firm, wall):
    return LabourNorm.objects.get(firm=firm, point_kind__code="double-socket", stage="first_fix", wall_kind=wall)


def test_nothing_is_suggested_when_nothing_is_finished(firm):
    make_surveyed_job(firm)
    assert list_suggestions(firm) == []


def test_the_hours_worked_are_shared_out_by_estimate_when_a_package_had_other_work(firm, norm):
    package = finish_in(make_surveyed_job(firm), 1.5)
    found = find_suggestion(norm)
    assert found.actual_hours == pytest.approx(1.5 * found.estimated_hours, rel=0.01)
    assert found.weight == pytest.approx(found.estimated_hours / float(package.labour_hours), rel=0.01)


def test_the_norm_moves_part_of_the_way_when_one_package_took_longer(firm, norm):
    finish_in(make_surveyed_job(firm), 1.5)
    found = find_suggestion(norm)
    assert norm.labour_hours < found.suggested_hours < norm.labour_hours * Decimal("1.5")


def test_the_norm_moves_further_when_more_packages_took_longer(firm, norm):
    finish_in(make_surveyed_job(firm), 1.5)
    one = find_suggestion(norm).suggested_hours
    for _ in range(4):
        finish_in(make_surveyed_job(firm), 1.5)
    assert find_suggestion(norm).suggested_hours > one
    assert find_suggestion(norm).packages == 5


def test_the_norm_stays_when_work_took_its_estimate(firm, norm):
    finish_in(make_surveyed_job(firm), 1.0)
    assert not find_suggestion(norm).is_change


def test_another_walls_norm_hears_nothing_when_rooms_were_masonry(firm):
    finish_in(make_surveyed_job(firm, wall_kind="masonry"), 1.5)
    assert find_suggestion(socket_norm(firm, "stud")) is None


def test_packages_taken_in_count_no_more_when_a_norm_learned_from_them(firm, norm):
    finish_in(make_surveyed_job(firm), 1.5)
    norm.learned_until = NOW
    assert find_suggestion(norm) is None


def test_what_was_learned_weighs_in_when_a_new_package_is_finished(firm, norm):
    finish_in(make_surveyed_job(firm), 1.5, at=NOW + timedelta(days=3))
    fresh = find_suggestion(norm).suggested_hours
    norm.learned_until, norm.learned_weight, norm.source = NOW, Decimal(20), "own records, 25 packages"
    assert find_suggestion(norm).prior_packages == 24
    assert norm.labour_hours <= find_suggestion(norm).suggested_hours < fresh


def test_estimates_are_those_of_now_when_the_norm_was_changed_since(firm, norm):
    finish_in(make_surveyed_job(firm), 1.0)
    norm.labour_hours *= 2
    norm.save()
    assert find_suggestion(norm).factor < 1


def test_lines_that_were_not_needed_count_for_nothing_when_the_rest_was_done(firm, norm):
    package = finish_in(make_surveyed_job(firm), 1.0)
    RoomTask.objects.filter(package=package, code__startswith="point:").update(not_needed="Left as they are")
    assert find_suggestion(norm) is None


def test_a_fixed_number_of_reads_is_enough_when_a_job_has_many_points(firm, django_assert_num_queries):
    finish_in(make_surveyed_job(firm, sockets=2), 1.5)
    with django_assert_num_queries(20, exact=False):
        list_suggestions(firm)


def test_the_biggest_change_comes_first_when_there_are_several(firm):
    finish_in(make_surveyed_job(firm), 1.5)
    changes = [abs(found.suggested_hours - found.norm.labour_hours) for found in list_suggestions(firm)]
    assert len(changes) > 1
    assert changes == sorted(changes, reverse=True)


def test_spreads_are_common_practice_when_nothing_is_recorded(firm):
    assert load_spreads(firm) == Spreads()


def test_spreads_stay_when_packages_have_only_bookings(firm):
    finish(make_surveyed_job(firm).packages.get(stage="first_fix"))
    assert load_spreads(firm) == Spreads()


def test_a_stage_gets_wider_when_its_packages_took_much_longer(firm):
    finish_in(make_surveyed_job(firm), 3.0)
    assert load_spreads(firm).by_stage[Stage.FIRST_FIX] > PRIOR_SPREADS[Stage.FIRST_FIX]
    assert load_spreads(firm).by_stage[Stage.TEST] == pytest.approx(PRIOR_SPREADS[Stage.TEST])


def test_a_stage_gets_narrower_when_its_packages_landed_on_their_estimate(firm):
    for _ in range(4):
        finish_in(make_surveyed_job(firm), 1.0)
    assert load_spreads(firm).by_stage[Stage.FIRST_FIX] < PRIOR_SPREADS[Stage.FIRST_FIX]

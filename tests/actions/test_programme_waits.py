import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.permission import Refused
from jobs.actions.programme import make_programme
from jobs.actions.programme_waits import add_dependency, remove_dependency
from jobs.core.stages import Stage
from jobs.models import Dependency, WorkPackage
from tests.factories import make_area, make_crew_user, make_firm, make_job, make_office, make_person, make_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    firm = make_firm(with_catalogue=True)
    job = make_job(firm)
    for position, name in enumerate(("Ground floor", "First floor")):
        make_room(make_area(job, name, position=position))
    make_programme(job=job, by=make_office(firm))
    return job


def _package(job, area, stage):
    return WorkPackage.objects.get(job=job, area__name=area, stage=stage)


def _office(job):
    return make_office(job.firm)


def test_hand_made_wait_stays_when_programme_is_made_again(job):
    before, after = _package(job, "Ground floor", Stage.FIRST_FIX), _package(job, "First floor", Stage.FIRST_FIX)
    wait = add_dependency(before=before, after=after, lag_days=2, reason="One floor at a time", by=_office(job))
    make_programme(job=job, by=_office(job))
    kept = job.dependencies.get(pk=wait.pk)
    assert (kept.is_by_hand, kept.lag_days, kept.reason) == (True, 2, "One floor at a time")


def test_circle_is_refused_in_words_when_a_wait_closes_it(job):
    first, strip = (_package(job, "Ground floor", stage) for stage in (Stage.FIRST_FIX, Stage.STRIP_OUT))
    with pytest.raises(Refused, match="Strip-out, Ground floor, then First fix, Ground floor"):
        add_dependency(before=first, after=strip, by=_office(job))


def test_wait_is_refused_when_it_is_for_itself(job):
    package = _package(job, "Ground floor", Stage.FIRST_FIX)
    with pytest.raises(Refused, match="itself"):
        add_dependency(before=package, after=package, by=_office(job))


def test_wait_is_refused_when_it_joins_two_houses(job):
    other = make_job(job.firm, "Other house")
    room = make_room(make_area(other))
    make_programme(job=other, by=_office(job))
    with pytest.raises(Refused, match="same house"):
        add_dependency(
            before=_package(job, "Ground floor", Stage.FIRST_FIX), after=room.area.packages.first(), by=_office(job)
        )


def test_wait_replaces_the_templates_when_added_between_the_same_two(job):
    before, after = (_package(job, "Ground floor", stage) for stage in (Stage.STRIP_OUT, Stage.FIRST_FIX))
    add_dependency(before=before, after=after, lag_sessions=3, by=_office(job))
    make_programme(job=job, by=_office(job))
    assert job.dependencies.get(before_package=before, after_package=after).lag_sessions == 3


def test_template_wait_stays_away_when_a_person_removed_it(job):
    before = _package(job, "Ground floor", Stage.STRIP_OUT)
    wait = job.dependencies.get(before_package=before, after_package__stage=Stage.FIRST_FIX)
    remove_dependency(dependency=wait, by=_office(job))
    make_programme(job=job, by=_office(job))
    assert not job.dependencies.filter(before_package=before, after_package__stage=Stage.FIRST_FIX).exists()


def test_hand_made_wait_goes_for_good_when_removed(job):
    before, after = _package(job, "Ground floor", Stage.FIRST_FIX), _package(job, "First floor", Stage.FIRST_FIX)
    remove_dependency(dependency=add_dependency(before=before, after=after, by=_office(job)), by=_office(job))
    assert not Dependency.with_waived.filter(before_package=before, after_package=after).exists()


def test_persons_order_stands_when_the_template_says_the_opposite(job):
    strip, fix = (_package(job, "Ground floor", stage) for stage in (Stage.STRIP_OUT, Stage.FIRST_FIX))
    remove_dependency(dependency=job.dependencies.get(before_package=strip, after_package=fix), by=_office(job))
    for wait in job.dependencies.filter(before_package=strip):
        remove_dependency(dependency=wait, by=_office(job))
    add_dependency(before=fix, after=strip, by=_office(job))
    make_programme(job=job, by=_office(job))
    pairs = job.dependencies.filter(before_package=strip).count(), job.dependencies.filter(after_package=strip).count()
    assert pairs == (0, 2)


def test_waits_are_refused_when_a_crew_member_asks(job):
    crew = make_crew_user(make_person(job.firm))
    with pytest.raises(PermissionDenied):
        remove_dependency(dependency=job.dependencies.first(), by=crew)

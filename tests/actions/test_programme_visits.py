from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.permission import Refused
from jobs.actions.programme import make_programme
from jobs.actions.programme_visits import add_visit
from jobs.core.stages import Stage, Trade
from jobs.models import PointKind, Visit, VisitKind
from tests.factories import make_area, make_contact, make_firm, make_job, make_office, make_point, make_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    firm = make_firm(with_catalogue=True)
    job = make_job(firm)
    make_point(make_room(make_area(job)), PointKind.objects.get(firm=firm, code="double-socket"))
    make_programme(job=job, by=make_office(firm))
    return job


def _kind(job, code):
    return VisitKind.objects.get(firm=job.firm, code=code)


def _visit(job, code):
    return job.visits.get(kind__code=code)


def test_added_visit_takes_its_place_in_the_order_when_added(job):
    visit = add_visit(job=job, kind=_kind(job, "kitchen_fitter"), area=job.areas.get(), by=make_office(job.firm))
    assert visit.waits_for.get().before_visit == _visit(job, "plasterer")
    assert visit.waits_for.get().lag_days == 14
    assert visit.releases.get().after_package.stage == Stage.SECOND_FIX


def test_length_is_that_of_its_kind_when_none_is_given(job):
    visit = add_visit(job=job, kind=_kind(job, "tiler"), by=make_office(job.firm))
    assert (visit.length_days, visit.state) == (Decimal(2), Visit.State.PENCILLED)


def test_visit_is_refused_when_the_area_is_of_another_house(job):
    other = make_area(make_job(job.firm, "Other house"))
    with pytest.raises(Refused, match="no part of this house"):
        add_visit(job=job, kind=_kind(job, "tiler"), area=other, by=make_office(job.firm))


def test_visit_is_refused_when_its_contact_is_of_another_trade(job):
    contact = make_contact(job.firm, Trade.PLUMBER)
    with pytest.raises(Refused, match="Plumber"):
        add_visit(job=job, kind=_kind(job, "tiler"), contact=contact, by=make_office(job.firm))


def test_visit_is_refused_when_it_takes_no_time(job):
    with pytest.raises(Refused, match="half a day"):
        add_visit(job=job, kind=_kind(job, "tiler"), length_days=Decimal(0), by=make_office(job.firm))


def test_visit_is_refused_when_another_firm_adds_it(job):
    with pytest.raises(PermissionDenied):
        add_visit(job=job, kind=_kind(job, "tiler"), by=make_office(make_firm("Other firm")))


def test_cancelled_visit_is_not_pencilled_anew_when_programme_is_made_again(job):
    job.visits.filter(kind__code="plasterer").update(state=Visit.State.CANCELLED)
    make_programme(job=job, by=make_office(job.firm))
    assert _visit(job, "plasterer").state == Visit.State.CANCELLED
    assert job.dependencies.filter(before_visit=_visit(job, "plasterer")).exists()


def test_state_stays_when_programme_is_made_again(job):
    Visit.objects.filter(job=job).update(state=Visit.State.ACCEPTED, starts_on=date(2027, 2, 1))
    make_programme(job=job, by=make_office(job.firm))
    assert set(job.visits.values_list("state", "starts_on")) == {(Visit.State.ACCEPTED, date(2027, 2, 1))}

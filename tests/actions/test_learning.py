from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.catalogue import edit_catalogue_row
from jobs.actions.learning import CHANGED_MEANWHILE, accept_suggestion
from jobs.actions.permission import Refused
from jobs.models import LabourNorm
from jobs.queries.learning import find_suggestion
from tests.factories import NOW, make_firm, make_office
from tests.learning import finish_in, make_surveyed_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def firm():
    return make_firm(with_catalogue=True)


@pytest.fixture
def norm(firm):
    finish_in(make_surveyed_job(firm), 1.5)
    return LabourNorm.objects.get(firm=firm, point_kind__code="double-socket", stage="first_fix", wall_kind="masonry")


def test_the_norm_names_its_source_when_a_suggestion_is_taken_over(norm, office):
    found = find_suggestion(norm)
    norm = accept_suggestion(norm=norm, hours=found.suggested_hours, by=office)
    assert (norm.labour_hours, norm.source) == (found.suggested_hours, "own records, 1 package")
    assert norm.learned_until == NOW


def test_the_usual_range_holds_the_norm_when_it_moves_out_of_it(norm, office):
    norm.low_hours = norm.high_hours = norm.labour_hours
    norm.save()
    norm = accept_suggestion(norm=norm, hours=find_suggestion(norm).suggested_hours, by=office)
    assert norm.low_hours < norm.labour_hours == norm.high_hours


def test_nothing_changes_when_the_figure_is_another_by_now(norm, office):
    shown = find_suggestion(norm).suggested_hours
    finish_in(make_surveyed_job(norm.firm), 3)
    with pytest.raises(Refused, match="More work was finished"):
        accept_suggestion(norm=norm, hours=shown, by=office)
    norm.refresh_from_db()
    assert norm.learned_packages == 0


def test_nothing_changes_twice_when_a_suggestion_is_taken_over_twice(norm, office):
    shown = find_suggestion(norm).suggested_hours
    accept_suggestion(norm=norm, hours=shown, by=office)
    with pytest.raises(Refused) as refused:
        accept_suggestion(norm=norm, hours=shown, by=office)
    assert refused.value.message == CHANGED_MEANWHILE


def test_another_firms_office_may_not_when_it_asks(norm):
    with pytest.raises(PermissionDenied):
        accept_suggestion(norm=norm, hours=Decimal(1), by=make_office(make_firm("Other firm")))


def test_what_was_learned_weighs_nothing_when_the_figure_was_typed_over(norm, office):
    norm = accept_suggestion(norm=norm, hours=find_suggestion(norm).suggested_hours, by=office)
    edit_catalogue_row(row=norm, details={"labour_hours": Decimal("0.90")}, by=office)
    finish_in(make_surveyed_job(norm.firm), 1.5, at=NOW.replace(day=20))
    assert find_suggestion(norm).prior_packages == 4

from decimal import Decimal as D

import pytest
from django.db import IntegrityError, transaction

from jobs.actions.catalogue import add_catalogue_row, edit_catalogue_row, remove_catalogue_row
from jobs.actions.catalogue_versions import keep_version
from jobs.actions.firms import edit_firm
from jobs.actions.programme import take_off_again
from jobs.actions.survey import add_points
from jobs.models import CatalogueVersion, CircuitRecipe, Item, Job, LabourNorm, PointKind, RecipeLine
from jobs.queries.recipe_versions import load_recipe_state
from jobs.queries.takeoff import load_takeoff
from tests.placed_house import PlacedHouse

pytestmark = pytest.mark.django_db


@pytest.fixture
def house():
    house = PlacedHouse()
    house.make()
    return house


def _grommets(house):
    line = RecipeLine.objects.get(
        firm=house.firm, point_kind__code="double-socket", item__code="grommet-20", stage="first_fix"
    )
    return edit_catalogue_row(row=line, details={"quantity": D(3)}, by=house.office)


def _taken(house, code="grommet-20"):
    rows = load_takeoff(Job.objects.get(pk=house.job.pk)).materials
    return next(row.quantity for row in rows if row.item.code == code)


def test_job_keeps_the_first_version_when_its_programme_is_made(house):
    assert house.job.catalogue_version.number == 1
    assert load_recipe_state(house.job).is_current


def test_version_is_added_when_a_recipe_changes(house):
    _grommets(house)
    latest = CatalogueVersion.objects.get(firm=house.firm, number=2)
    assert (latest.made_by, "quantity 2 → 3" in latest.what) == (house.office, True)


def test_job_keeps_its_recipes_when_the_survey_changes_after_them(house):
    had = _taken(house)
    _grommets(house)
    add_points(
        room=house.lounge, kind=PointKind.objects.get(firm=house.firm, code="double-socket"), quantity=1,
        circuit=house.ring, by=house.office,
    )
    assert _taken(house) == had + 2


def test_job_takes_todays_recipes_when_taken_off_again(house):
    had = _taken(house)
    _grommets(house)
    assert take_off_again(job=house.job, by=house.office).number == 2
    assert _taken(house) == had + 3


def test_changes_are_told_first_when_the_catalogue_moved_on(house):
    had = _taken(house)
    _grommets(house)
    state = load_recipe_state(house.job)
    assert [(change.item.code, change.had, change.would_be) for change in state.materials] == [("grommet-20", had, had + 3)]
    assert (state.is_current, state.changes_hours, len(state.since)) == (False, False, 1)


def test_hours_are_told_first_when_a_norm_changed(house):
    norm = LabourNorm.objects.filter(firm=house.firm, point_kind__code="double-socket", stage="first_fix").first()
    edit_catalogue_row(row=norm, details={"labour_hours": D("1.5"), "high_hours": D(2)}, by=house.office)
    had, would_be = load_recipe_state(house.job).hours
    assert would_be - had == 3 * D("0.3")


def test_new_point_is_taken_from_today_when_the_kept_version_lacks_it(house):
    kind = add_catalogue_row(
        firm=house.firm, model=PointKind, details={"name": "Floor socket", "circuit_kind": "ring"}, by=house.office
    )
    item = Item.objects.get(firm=house.firm, code="box-ceiling")
    add_catalogue_row(
        firm=house.firm, model=RecipeLine, by=house.office,
        details={"point_kind": kind, "stage": "first_fix", "item": item, "quantity": D(7), "wall_kind": ""},
    )
    had = _taken(house, "box-ceiling")
    add_points(room=house.lounge, kind=kind, quantity=1, circuit=house.ring, by=house.office)
    assert _taken(house, "box-ceiling") == had + 7


@pytest.mark.parametrize("change", ["circuit", "firm", "removed"])
def test_version_is_added_when_any_figure_changes(house, change):
    if change == "circuit":
        recipe = CircuitRecipe.objects.get(firm=house.firm, circuit_kind="ring")
        edit_catalogue_row(row=recipe, details={"between_metres": D(5)}, by=house.office)
    elif change == "firm":
        edit_firm(firm=house.firm, details={"cable_waste_percent": D(12)}, by=house.office)
    else:
        remove_catalogue_row(row=RecipeLine.objects.filter(firm=house.firm).first(), by=house.office)
    assert CatalogueVersion.objects.filter(firm=house.firm).count() == 2


def test_no_version_is_added_when_nothing_of_the_figures_changed(house):
    edit_firm(firm=house.firm, details={"phone": "07700 900123"}, by=house.office)
    assert keep_version(firm=house.firm, by=house.office).number == 1


def test_version_cannot_be_edited_when_kept(house):
    with pytest.raises(IntegrityError), transaction.atomic():
        CatalogueVersion.objects.update(what="nothing")

from decimal import Decimal

import pytest

from jobs.actions.catalogue import load_catalogue
from jobs.core import stages
from jobs.models import ChecklistLine, DependencyRule, LabourNorm, PointKind, RecipeLine, VisitKind
from tests.factories import make_firm

pytestmark = pytest.mark.django_db


def _counts(firm):
    return [model.objects.filter(firm=firm).count() for model in (PointKind, RecipeLine, LabourNorm, ChecklistLine)]


def test_nothing_is_added_when_catalogue_is_loaded_twice():
    firm = make_firm(with_catalogue=True)
    before = _counts(firm)
    load_catalogue(firm=firm)
    assert _counts(firm) == before
    assert min(before) > 30


def test_edited_row_is_kept_when_catalogue_is_loaded_again():
    firm = make_firm(with_catalogue=True)
    RecipeLine.objects.filter(firm=firm, item__code="capping-25").update(quantity=7)
    VisitKind.objects.filter(firm=firm, code="plasterer").update(length_days=5)
    load_catalogue(firm=firm)
    assert set(RecipeLine.objects.filter(firm=firm, item__code="capping-25").values_list("quantity", flat=True)) == {7}
    assert VisitKind.objects.get(firm=firm, code="plasterer").length_days == 5


def test_deleted_recipe_line_stays_away_when_catalogue_is_loaded_again():
    firm = make_firm(with_catalogue=True)
    RecipeLine.objects.filter(firm=firm, item__code="capping-25").delete()
    load_catalogue(firm=firm)
    assert not RecipeLine.objects.filter(firm=firm, item__code="capping-25").exists()


def test_point_kind_comes_back_with_recipe_and_hours_when_the_firm_has_not_got_it():
    firm = make_firm(with_catalogue=True)
    PointKind.objects.filter(firm=firm, code="double-socket").delete()
    load_catalogue(firm=firm)
    kind = PointKind.objects.get(firm=firm, code="double-socket")
    assert kind.recipe_lines.exists()
    assert kind.labour_norms.exists()


def test_each_firm_has_rows_of_its_own_when_two_load_the_catalogue():
    first, second = make_firm("First", with_catalogue=True), make_firm("Second", with_catalogue=True)
    assert _counts(first) == _counts(second)


def test_every_value_lies_in_its_range_when_catalogue_is_loaded():
    firm = make_firm(with_catalogue=True)
    norms = LabourNorm.objects.filter(firm=firm)
    assert all(norm.low_hours <= norm.labour_hours <= norm.high_hours for norm in norms)
    assert not RecipeLine.objects.filter(firm=firm, source="").exists()


def test_every_point_kind_takes_time_and_material_when_catalogue_is_loaded():
    firm = make_firm(with_catalogue=True)
    kinds = PointKind.objects.filter(firm=firm).prefetch_related("recipe_lines", "labour_norms")
    for kind in kinds:
        assert {norm.wall_kind for norm in kind.labour_norms.all()} == {"masonry", "stud"}, kind.code
        assert any(line.stage == stages.Stage.SECOND_FIX for line in kind.recipe_lines.all()), kind.code


def test_template_names_only_known_stages_and_visits_when_catalogue_is_loaded():
    firm = make_firm(with_catalogue=True)
    known = set(stages.WORKED_STAGES) | set(VisitKind.objects.filter(firm=firm).values_list("code", flat=True))
    rules = DependencyRule.objects.filter(firm=firm)
    assert {rule.before for rule in rules} | {rule.after for rule in rules} <= known


def test_room_lists_are_8_to_15_lines_when_a_kind_of_room_has_its_own():
    firm = make_firm(with_catalogue=True)
    lines = ChecklistLine.objects.filter(firm=firm)
    for stage in stages.WORKED_STAGES:
        common = lines.filter(stage=stage, room_kind="").count()
        kinds = set(lines.filter(stage=stage).exclude(room_kind="").values_list("room_kind", flat=True))
        assert all(8 <= common + lines.filter(stage=stage, room_kind=kind).count() <= 15 for kind in kinds), stage


def test_every_room_is_held_until_what_disappears_is_recorded_when_catalogue_is_loaded():
    # what a contractor wants recorded before boards and plaster: common practice, no source
    firm = make_firm(with_catalogue=True)
    held = ChecklistLine.objects.filter(firm=firm, stage="first_fix", room_kind="", is_hold_point=True)
    words = " ".join(line.text.lower() for line in held)
    wanted = ("photos of each wall and ceiling", "centres measured", "dead tests", "ends labelled", "cleared",
              "boards screwed down again after the plumber", "fire stopping")
    assert [one for one in wanted if one not in words] == []


def test_socket_in_masonry_takes_a_steel_box_when_catalogue_is_loaded():
    firm = make_firm(with_catalogue=True)
    lines = RecipeLine.objects.filter(firm=firm, point_kind__code="double-socket", stage="first_fix")
    assert lines.get(wall_kind="masonry", item__code="box-2g-35").quantity == Decimal(1)
    assert lines.get(wall_kind="stud").item.code == "box-dry-2g-35"

from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.actions.catalogue import OWN_SOURCE
from jobs.models import ChecklistLine, DependencyRule, DryingRule, Item, LabourNorm, PointKind, RecipeLine, VisitKind
from tests.factories import make_area, make_crew_user, make_firm, make_job, make_office, make_person, make_point, make_room

pytestmark = pytest.mark.django_db

SECTIONS = ["points", "hours", "circuits", "checks", "visits", "waits", "drying", "ranges", "swaps"]


@pytest.fixture
def firm():
    return make_firm(with_catalogue=True)


@pytest.fixture
def office(client, firm):
    client.force_login(make_office(firm))
    return client


def _row(slug, row):
    return reverse("catalogue_row", args=[slug, row.pk])


def _form(response):
    form = response.context["form"]
    return {name: "" if form[name].value() is None else form[name].value() for name in form.fields}


@pytest.mark.parametrize("slug", SECTIONS)
def test_every_row_is_listed_when_a_section_is_opened(office, slug):
    response = office.get(reverse("catalogue_section", args=[slug]))
    assert response.status_code == 200
    assert all(table["group"].rows for table in response.context["tables"])


@pytest.mark.parametrize("slug", SECTIONS)
def test_queries_stay_few_when_a_section_is_opened(office, slug, django_assert_max_num_queries):
    with django_assert_max_num_queries(8):
        office.get(reverse("catalogue_section", args=[slug]))


def test_points_are_shown_when_the_catalogue_is_opened(office):
    assert "Double socket" in office.get(reverse("catalogue")).content.decode()


def test_recipe_and_hours_are_shown_when_a_point_is_opened(office, firm):
    page = office.get(_row("points", PointKind.objects.get(firm=firm, code="double-socket"))).content.decode()
    assert "Steel back box, 2-gang 35 mm" in page
    assert "0.9 to 1.5" in page


def test_quantity_is_the_firms_own_when_saved(office, firm):
    line = RecipeLine.objects.filter(firm=firm, item__code="capping-25").first()
    data = _form(office.get(_row("materials", line))) | {"quantity": "3"}
    assert office.post(_row("materials", line), data).status_code == 302
    line.refresh_from_db()
    assert (line.quantity, line.source) == (3, OWN_SOURCE)


def test_source_stays_when_nothing_was_changed(office, firm):
    norm = LabourNorm.objects.filter(firm=firm, per="room").first()
    office.post(_row("hours", norm), _form(office.get(_row("hours", norm))))
    assert LabourNorm.objects.get(pk=norm.pk).source == norm.source


@pytest.mark.parametrize("quantity", ["0", "-1", "", "many", "1e99", "NaN"])
def test_quantity_is_refused_when_it_makes_no_sense(office, firm, quantity):
    line = RecipeLine.objects.filter(firm=firm).first()
    response = office.post(_row("materials", line), _form(office.get(_row("materials", line))) | {"quantity": quantity})
    assert response.status_code == 422
    assert response.context["form"].errors["quantity"]


def test_line_is_refused_when_the_point_has_the_material_already(office, firm):
    line = RecipeLine.objects.filter(firm=firm).first()
    data = _form(office.get(_row("materials", line)))
    response = office.post(reverse("add_catalogue", args=["materials"]), data)
    assert response.status_code == 422
    assert "already exists" in response.content.decode()


def test_material_goes_to_its_point_when_added(office, firm):
    kind = PointKind.objects.get(firm=firm, code="double-socket")
    address = reverse("add_catalogue", args=["materials"]) + f"?point={kind.pk}"
    assert _form(office.get(address))["point_kind"] == kind.pk
    item = Item.objects.get(firm=firm, code="clip-fire")
    data = {"point_kind": kind.pk, "item": item.pk, "stage": "first_fix", "wall_kind": "", "quantity": "2"}
    response = office.post(address, data)
    assert response.url == _row("points", kind)
    assert kind.recipe_lines.get(item=item).quantity == 2


def test_check_is_ticked_from_then_on_when_added(office, firm):
    data = {"text": "Stop tap found", "stage": "strip_out", "room_kind": "kitchen", "position": "30"}
    office.post(reverse("add_catalogue", args=["checks"]), data)
    assert ChecklistLine.objects.get(firm=firm, text="Stop tap found").code == "own-1"


def test_visit_gets_a_code_from_its_name_when_added(office, firm):
    data = {"name": "Roofer", "trade": "builder", "length_days": "1.5", "lead_days": "7"}
    office.post(reverse("add_catalogue", args=["visits"]), data)
    assert VisitKind.objects.get(firm=firm, code="roofer-1").length_days == Decimal("1.5")


def test_wait_is_refused_when_it_is_for_itself(office):
    data = {"before": "tiler", "after": "tiler", "kind": "finish_start", "lag_days": "0", "lag_sessions": "0", "reason": "x"}
    response = office.post(reverse("add_catalogue", args=["waits"]), data)
    assert "Nothing can wait for itself" in response.content.decode()


def test_range_is_refused_when_it_ends_before_it_begins(office, firm):
    norm = LabourNorm.objects.filter(firm=firm, per="point").first()
    data = _form(office.get(_row("point-hours", norm))) | {"low_hours": "2", "high_hours": "1"}
    assert office.post(_row("point-hours", norm), data).status_code == 422


def test_row_goes_when_removed(office, firm):
    rule = DryingRule.objects.get(firm=firm, system="lime")
    office.post(reverse("remove_catalogue", args=["drying", rule.pk]))
    assert not DryingRule.objects.filter(pk=rule.pk).exists()


def test_point_stays_when_a_job_uses_it(office, firm):
    kind = PointKind.objects.get(firm=firm, code="double-socket")
    make_point(make_room(make_area(make_job(firm))), kind)
    response = office.post(reverse("remove_catalogue", args=["points", kind.pk]), follow=True)
    assert "is used in one place of a job" in response.content.decode()
    assert PointKind.objects.filter(pk=kind.pk).exists()


def test_row_of_another_firm_is_not_found_when_opened(office):
    other = DependencyRule.objects.filter(firm=make_firm("Other firm", with_catalogue=True)).first()
    assert office.get(_row("waits", other)).status_code == 404


def test_item_of_another_firm_is_refused_when_chosen(office, firm):
    line = RecipeLine.objects.filter(firm=firm).first()
    foreign = Item.objects.filter(firm=make_firm("Other firm", with_catalogue=True)).first()
    data = _form(office.get(_row("materials", line))) | {"item": foreign.pk}
    assert office.post(_row("materials", line), data).status_code == 422


@pytest.mark.parametrize("slug", ["materials", "nothing"])
def test_page_is_not_found_when_there_is_no_such_section(office, slug):
    assert office.get(reverse("catalogue_section", args=[slug])).status_code == 404


def test_crew_are_sent_away_when_they_open_the_catalogue(client, firm):
    client.force_login(make_crew_user(make_person(firm)))
    assert client.get(reverse("catalogue")).status_code == 302


def test_history_tells_what_changed_and_who_changed_it(office, firm):
    line = RecipeLine.objects.filter(firm=firm, quantity=2).first()
    form = {"point_kind": line.point_kind_id, "item": line.item_id, "stage": line.stage, "wall_kind": line.wall_kind}
    office.post(reverse("catalogue_row", args=["materials", line.pk]), form | {"quantity": "5"})
    page = office.get(reverse("catalogue_history")).content.decode()
    assert "quantity 2 → 5" in page
    assert "Olwen" in page


def test_swap_needs_a_range_or_a_cover_and_not_both(office, firm):
    item = Item.objects.filter(firm=firm).first()
    form = {"in_place_of": item.pk, "item": item.pk, "quantity": "1", "accessory_range": "", "drop_cover": ""}
    response = office.post(reverse("add_catalogue", args=["swaps"]), form)
    assert response.status_code == 422
    assert office.post(reverse("add_catalogue", args=["swaps"]), form | {"drop_cover": "tube"}).status_code == 302

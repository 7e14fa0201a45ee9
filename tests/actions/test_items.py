import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.items import add_item, add_supplier, edit_item, edit_supplier
from jobs.actions.permission import Refused
from tests.factories import make_crew_user
from tests.stores import make_store

pytestmark = pytest.mark.django_db


def details(**changes):
    return {"name": "Grommet 20 mm", "unit": "piece", "pack_size": 100, "keep_at_least": 0} | changes


def add(store, **changes):
    return add_item(firm=store.firm, details=details(**changes), by=store.office)


def test_code_is_made_from_the_name(store):
    assert [add(store).code, add(store).code] == ["grommet-20-mm", "grommet-20-mm-2"]


@pytest.mark.parametrize(
    ("changes", "field"), [({"name": ""}, "name"), ({"pack_size": 0}, "__all__"), ({"unit": "litre"}, "unit")]
)
def test_item_is_refused_when_it_makes_no_sense(store, changes, field):
    with pytest.raises(Refused) as refused:
        add(store, **changes)
    assert refused.value.field == field


def test_item_keeps_its_unit_once_it_has_moved(store):
    store.receive(10)
    with pytest.raises(Refused, match="stock moves already"):
        edit_item(item=store.box, details=details(unit="metre"), by=store.office)


def test_item_is_changed(store):
    assert edit_item(item=store.box, details=details(keep_at_least=20), by=store.office).keep_at_least == 20


def test_stand_in_is_refused_when_it_stands_for_another(store):
    bag = add(store, stands_in_for=store.box)
    with pytest.raises(Refused, match="another pack already"):
        add(store, name="Pallet", stands_in_for=bag)


def test_stand_in_is_refused_when_it_is_counted_otherwise(store):
    with pytest.raises(Refused, match="counted in the same way"):
        add(store, stands_in_for=store.cable)


def test_crew_change_no_items(store):
    with pytest.raises(PermissionDenied):
        edit_item(item=store.box, details=details(), by=make_crew_user(store.person))


def test_foreign_supplier_is_refused(store):
    with pytest.raises(PermissionDenied):
        add(store, supplier=make_store("Another firm").supplier)


def test_suppliers_name_is_taken_once(store):
    with pytest.raises(Refused):
        add_supplier(firm=store.firm, details={"name": "Wholesaler"}, by=store.office)


def test_supplier_is_changed(store):
    changed = edit_supplier(supplier=store.supplier, details={"lead_working_days": 3}, by=store.office)
    changed.refresh_from_db()
    assert changed.lead_working_days == 3

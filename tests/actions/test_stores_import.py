from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.permission import Refused
from jobs.actions.stores_import import import_prices, import_stock, keep_list
from jobs.core.stores_file.lists import read_prices, read_stock
from jobs.core.stores_file.writing import STOCK_HEADING, stock_lines, write_csv
from jobs.models import Drum, Item, Price, StockMove, StoresUpload
from jobs.queries.stores_lists import list_stock_rows, load_known
from tests.factories import NOW, TODAY, make_crew_user
from tests.stores import make_store

pytestmark = pytest.mark.django_db
STOCK, PRICES = StoresUpload.Kind.STOCK, StoresUpload.Kind.PRICES


@pytest.fixture
def store():
    store = make_store()
    store.receive(10)
    store.receive_drum("D1", 100)
    return store


def keep(store, text, kind=STOCK):
    read = read_stock if kind == STOCK else read_prices
    reading = read(text.encode(), load_known(store.firm))
    assert not reading.faults
    upload = keep_list(kind=kind, file_name="a.csv", reading=reading, by=store.office, now=NOW, supplier=store.supplier)
    return {"upload": upload, "rows": reading.rows, "by": store.office, "now": NOW}


def test_only_the_differences_are_booked_as_counted(store):
    kept = keep(store, "item,drum,quantity\nBack box,,12\nCable 2.5,D1,90.5\n")
    moves = import_stock(**kept)
    assert {move.reason for move in moves} == {StockMove.Reason.COUNT}
    assert (store.held(store.unit), store.held(store.unit, store.cable)) == (12, Decimal("90.5"))


def test_nothing_is_booked_when_the_count_agrees(store):
    assert import_stock(**keep(store, "item,quantity\nBack box,10\n")) == []


def test_new_items_and_drums_are_made(store):
    import_stock(**keep(store, "item,counted in,pack,drum,quantity\nBell wire,metres,50,D7,42\nGland,,10,,6\n"))
    assert Drum.objects.get(label="D7").full_metres == 42
    assert Item.objects.get(name="Gland").pack_size == 10


def test_details_of_known_items_are_changed_only_where_told(store):
    import_stock(**keep(store, "item,always keep,supplier\nBack box,25,Wholesaler\n"))
    store.box.refresh_from_db()
    assert (store.box.keep_at_least, store.box.pack_size, store.held(store.unit)) == (25, 10, 10)


def test_a_list_is_saved_once(store):
    kept = keep(store, "item,quantity\nBack box,12\n")
    import_stock(**kept)
    with pytest.raises(Refused, match="is in already"):
        import_stock(**kept)


def test_nothing_is_saved_when_a_balance_moved_since_the_list_was_read(store):
    kept = keep(store, "item,quantity\nBack box,12\nGland,6\n")
    store.receive(5)
    with pytest.raises(Refused, match="Since the list was read, Back box in Unit went from 10 to 15"):
        import_stock(**kept)
    assert (store.held(store.unit), Item.objects.filter(name="Gland").exists()) == (15, False)


def test_a_saved_list_is_kept_and_a_waiting_one_replaced_by_the_next(store):
    import_stock(**keep(store, "item,quantity\nBack box,12\n"))
    keep(store, "item,quantity\nBack box,13\n")
    keep(store, "item,quantity\nBack box,14\n")
    assert [upload.saved_at for upload in StoresUpload.objects.order_by("pk")] == [NOW, None]


def test_nothing_is_saved_when_a_label_was_taken_meanwhile(store):
    kept = keep(store, "item,drum,quantity\nGland,,6\nCable 2.5,D8,50\n")
    Drum.objects.create(firm=store.firm, item=store.box, label="D8", full_metres=1, made_at=NOW)
    with pytest.raises(Refused, match="D8"):
        import_stock(**kept)
    assert not Item.objects.filter(name="Gland").exists()


def test_prices_are_added_from_their_days(store):
    kept = keep(store, "item,price,per,from\nBack box,8.90,10,2027-02-01\nCable 2.5,71.60,100,\n", PRICES)
    assert import_prices(**kept, today=TODAY) == 2
    found = Price.objects.order_by("pence").values_list("pence", "from_on", "supplier")
    assert list(found)[1] == (7160, TODAY, store.supplier.pk)


def test_the_stock_as_it_is_can_be_brought_back_and_changes_nothing(store):
    text = write_csv(STOCK_HEADING, stock_lines(list_stock_rows(store.firm))).decode("utf-8-sig")
    assert import_stock(**keep(store, text)) == []


def test_crew_cannot_bring_lists_in(store):
    reading = read_stock(b"item\nGland\n", load_known(store.firm))
    with pytest.raises(PermissionDenied):
        keep_list(kind=STOCK, file_name="a", reading=reading, by=make_crew_user(store.person), now=NOW)

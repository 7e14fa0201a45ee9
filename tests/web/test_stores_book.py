"""Booking what happened to stock, and counting a shelf."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.actions import drums
from jobs.models import Drum, StockMove
from tests.stores import make_store

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client, store):
    client.force_login(store.office)
    return client


def book(office, what, thing, **data):
    return office.post(reverse("book_stock", args=[what]), {"thing": thing, "op_id": str(uuid4()), "note": ""} | data)


def item(row):
    return f"item-{row.pk}"


def text(response):
    return " ".join(response.content.decode().split())


def test_delivery_is_received(office, store):
    response = book(office, "receive", item(store.box), pieces="12", to=store.unit.pk)
    assert response.url == reverse("stores_item", args=[store.box.pk])
    assert store.held(store.unit) == 12


def test_drums_are_received_by_label_and_blank_rows_are_left_out(office, store):
    rows = {"drum-label-1": "D1", "drum-metres-1": "100", "drum-label-2": "D2", "drum-metres-2": "50", "drum-label-3": ""}
    book(office, "receive", item(store.cable), to=store.unit.pk, **rows)
    assert list(Drum.objects.values_list("label", "full_metres")) == [("D1", 100), ("D2", 50)]


def test_drum_without_metres_is_refused_with_what_was_typed_kept(office, store):
    response = book(office, "receive", item(store.cable), to=store.unit.pk, **{"drum-label-1": "D1"})
    assert response.status_code == 422
    assert "more than 0" in text(response)
    assert 'value="D1"' in text(response)


def test_pieces_are_moved(office, store):
    store.receive(10)
    book(office, "move", item(store.box), pieces="4", moved_from=store.unit.pk, moved_to=store.van.pk)
    assert store.held(store.van) == 4


def test_too_few_is_refused_at_the_field_and_nothing_is_booked(office, store):
    store.receive(2)
    response = book(office, "move", item(store.box), pieces="4", moved_from=store.unit.pk, moved_to=store.van.pk)
    assert response.status_code == 422
    assert "the books show 2 of Back box there, not 4" in text(response)
    assert store.held(store.van) == 0


def test_too_few_is_booked_when_it_is_there_all_the_same(office, store):
    arguments = {"pieces": "4", "moved_from": store.unit.pk, "moved_to": store.van.pk, "even_if_short": "on"}
    book(office, "move", item(store.box), **arguments)
    assert (store.held(store.unit), store.held(store.van)) == (-4, 4)


def test_double_press_books_once(office, store):
    op_id = str(uuid4())
    for _ in range(2):
        response = book(office, "receive", item(store.box), pieces="12", to=store.unit.pk, op_id=op_id)
    assert (response.status_code, store.held(store.unit)) == (302, 12)


def test_drum_is_moved_cut_measured_and_wasted(office, store):
    drum = store.receive_drum()
    thing = f"drum-{drum.pk}"
    book(office, "move", thing, moved_to=store.site.pk)
    book(office, "use", thing, metres="30.5", job=store.job.pk)
    book(office, "waste", thing, metres="1.5")
    book(office, "measure", thing, found="66", seen="68.00")
    assert drums.whereabouts(drum) == (store.site, 66)


def test_offcut_comes_back_with_a_label(office, store):
    drum = store.receive_drum()
    book(office, "use", f"drum-{drum.pk}", metres="30", job=store.job.pk)
    book(office, "bring-back", item(store.cable), metres="8", label="D1-a", job=store.job.pk, to=store.unit.pk)
    assert Drum.objects.get(label="D1-a").full_metres == 8


def test_pieces_come_back_from_a_job(office, store):
    store.receive(10)
    book(office, "use", item(store.box), pieces="6", job=store.job.pk, moved_from=store.unit.pk)
    book(office, "bring-back", item(store.box), pieces="2", job=store.job.pk, to=store.van.pk)
    assert (store.held(store.fitted), store.held(store.van)) == (4, 2)


def test_pieces_are_wasted(office, store):
    store.receive(10)
    book(office, "waste", item(store.box), pieces="3", moved_from=store.unit.pk)
    assert store.held(store.unit) == 7


@pytest.mark.parametrize("pieces", ["", "0", "-1", "1.5", "abc", "1e9", "NaN", "99999999999"])
def test_bad_quantity_is_refused_in_words(office, store, pieces):
    response = book(office, "receive", item(store.box), pieces=pieces, to=store.unit.pk)
    assert response.status_code == 422
    assert 'class="errorlist"' in text(response)
    assert not StockMove.objects.exists()


@pytest.mark.parametrize("thing", ["item-0", "item-x", "box-1", "item-99999999999999999999", "drum-", "item-１"])
def test_unknown_thing_is_not_found(office, thing):
    assert office.get(reverse("book_stock", args=["move"]), {"thing": thing}).status_code == 404


def test_unknown_happening_is_not_found(office):
    assert office.get(reverse("book_stock", args=["burn"])).status_code == 404


def test_cable_cannot_be_moved_as_an_item(office, store):
    assert office.get(reverse("book_stock", args=["move"]), {"thing": item(store.cable)}).status_code == 404


def test_foreign_thing_is_not_found(office):
    other = make_store("Another firm")
    assert book(office, "receive", item(other.box), pieces="1", to=other.unit.pk).status_code == 404


def test_foreign_place_is_no_choice(office, store):
    response = book(office, "receive", item(store.box), pieces="1", to=make_store("Another firm").unit.pk)
    assert (response.status_code, StockMove.objects.count()) == (422, 0)


@pytest.mark.parametrize("what", ["receive", "move", "use", "bring-back", "waste", "measure"])
def test_page_without_a_thing_asks_for_one(office, store, what):
    store.receive_drum()
    assert "Choose what it is about" in text(office.get(reverse("book_stock", args=[what])))


def test_form_alone_comes_when_htmx_asks(office, store):
    store.receive(10)
    headers = {"HX-Request": "true", "HX-Target": "book-form"}
    page = text(office.get(reverse("book_stock", args=["move"]), {"thing": item(store.box)}, headers=headers))
    assert page.startswith('<div id="book-form"')
    assert "The books say: Unit <b>10</b>" in page


def test_unit_is_the_first_choice_of_place(office, store):
    form = office.get(reverse("book_stock", args=["receive"]), {"thing": item(store.box)}).context["form"]
    assert form.fields["to"].queryset.first() == store.unit


def count(office, place, **data):
    return office.post(reverse("count_stock", args=[place.pk]), {"op_id": str(uuid4()), "note": ""} | data)


def test_places_to_count_name_what_is_owed(office, store):
    book(office, "move", item(store.box), pieces="4", moved_from=store.unit.pk, moved_to=store.van.pk, even_if_short="on")
    assert "something is below nought" in text(office.get(reverse("count_list")))


def test_sheet_shows_what_the_books_say(office, store):
    store.receive(10)
    store.receive_drum("D1", 80)
    page = text(office.get(reverse("count_stock", args=[store.unit.pk])))
    assert "Back box" in page
    assert "Drum D1, Cable 2.5" in page


def test_differences_are_booked_when_a_shelf_is_counted(office, store):
    store.receive(10)
    drum = store.receive_drum("D1", 80)
    found = {item(store.box): "9", f"seen-{item(store.box)}": "10", f"drum-{drum.pk}": "75.5", f"seen-drum-{drum.pk}": "80"}
    assert count(office, store.unit, **found).status_code == 302
    assert (store.held(store.unit), store.held(store.unit, store.cable)) == (9, Decimal("75.50"))


def test_blank_lines_are_not_counted(office, store):
    store.receive(10)
    drum = store.receive_drum("D1", 80)
    count(office, store.unit, **{item(store.box): "", f"drum-{drum.pk}": "70"})
    assert store.held(store.unit) == 10


def test_empty_sheet_is_refused_in_words(office, store):
    store.receive(10)
    assert "Enter what you found" in text(count(office, store.unit))


def test_count_is_refused_at_its_line_when_stock_moved_meanwhile(office, store):
    store.receive(10)
    response = count(office, store.unit, **{item(store.box): "9", f"seen-{item(store.box)}": "12"})
    assert response.status_code == 422
    assert "went from 12 to 10" in text(response)


def test_place_without_stock_can_be_counted_from_an_empty_sheet(office, store):
    assert "Count from an empty sheet" in text(office.get(reverse("count_stock", args=[store.van.pk])))
    assert "Back box" in text(office.get(reverse("count_stock", args=[store.van.pk]) + "?show=all"))

"""Stock lists and price lists: chosen, looked at, saved."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.models import Price, StoresUpload
from tests.factories import make_crew_user
from tests.stores import make_store

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client, store):
    client.force_login(store.office)
    return client


def choose(office, kind, text, **data):
    file = SimpleUploadedFile("list.csv", text.encode(), "text/csv")
    return office.post(reverse("import_list", args=[kind]), {"list_file": file} | data)


def text(response):
    return " ".join(response.content.decode().split())


@pytest.mark.parametrize("kind", ["stock", "prices"])
def test_the_page_lists_the_columns_and_files_to_start_from(office, kind):
    page = text(office.get(reverse("import_list", args=[kind])))
    assert "What the file looks like" in page
    assert reverse("list_file", args=[kind, "example", "xlsx"]) in page


def test_faults_are_told_by_row_and_column_and_nothing_is_kept(office):
    response = choose(office, "stock", "item,quantity\nBack box,2.5\n")
    assert response.status_code == 422
    assert '<b>Row 2, quantity</b>' in text(response)
    assert not StoresUpload.objects.exists()


def test_a_stock_list_is_looked_at_and_then_saved(office, store):
    address = choose(office, "stock", "item,quantity\nBack box,7\nGland,3\n").url
    assert "1 of them new" in text(office.get(address))
    assert store.held(store.unit) == 0
    office.post(address)
    assert store.held(store.unit) == 7


def test_a_list_saved_twice_says_that_it_is_in_already(office, store):
    address = choose(office, "stock", "item,quantity\nBack box,7\n").url
    office.post(address)
    store.receive(5)
    for again in (office.post(address, follow=True), office.get(address, follow=True)):
        assert "is in already" in text(again)
    assert store.held(store.unit) == 12


def test_what_the_books_say_is_shown_beside_what_was_counted(office, store):
    store.receive(5)
    page = text(office.get(choose(office, "stock", "item,quantity\nBack box,7\n").url))
    assert '<td class="number">5</td><td class="number">7</td>' in page


def test_a_price_list_is_saved_for_its_supplier(office, store):
    choose(office, "prices", "item,price,per\nBack box,8.90,10\nLamp,5\n", supplier=store.supplier.pk, leaves_out_unknown="on")
    upload = StoresUpload.objects.get()
    page = text(office.get(reverse("preview_list", args=[upload.pk])))
    assert "£8.90" in page
    assert "1 row left out" in page
    office.post(reverse("preview_list", args=[upload.pk]))
    assert [(row.pence, row.supplier) for row in Price.objects.all()] == [(890, store.supplier)]


def test_a_list_can_be_dropped(office):
    choose(office, "stock", "item,quantity\nBack box,7\n")
    office.post(reverse("drop_list", args=[StoresUpload.objects.get().pk]))
    assert not StoresUpload.objects.exists()


@pytest.mark.parametrize("name", ["stock", "example", "empty"])
@pytest.mark.parametrize("extension", ["csv", "xlsx"])
def test_files_are_downloaded(office, name, extension):
    response = office.get(reverse("list_file", args=["stock", name, extension]))
    assert response["Content-Disposition"].endswith(f'{name}-stock.{extension}"')


@pytest.mark.parametrize("data", [b"", b"\0\1\2", b"PK\3\4broken", b"x" * 100])
def test_a_file_that_is_no_list_is_answered_in_words(office, data):
    file = SimpleUploadedFile("list.xlsx", data)
    assert office.post(reverse("import_list", args=["prices"]), {"list_file": file}).status_code == 422


def test_another_firms_upload_and_crew_are_kept_out(client, office, store):
    choose(office, "stock", "item,quantity\nBack box,7\n")
    address = reverse("preview_list", args=[StoresUpload.objects.get().pk])
    client.force_login(make_store("Other Electrics").office)
    assert client.get(address).status_code == 404
    client.force_login(make_crew_user(store.person))
    assert client.get(address).url == reverse("today")

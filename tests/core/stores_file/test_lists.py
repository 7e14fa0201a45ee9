import io
from datetime import date
from decimal import Decimal

import pytest
from openpyxl import Workbook

from jobs.core.stores_file.lists import Known, KnownItem, read_prices, read_stock
from jobs.core.stores_file.writing import (
    EXAMPLE_PRICES,
    EXAMPLE_STOCK,
    PRICE_HEADING,
    STOCK_HEADING,
    price_lines,
    stock_lines,
    write_csv,
    write_xlsx,
)

KNOWN = Known(
    items=(KnownItem("back-box", "Back box", "piece"), KnownItem("cable", "Cable 2.5", "metre")),
    places=("Unit", "Ada’s van"), suppliers=("Wholesaler",), drums={"D1": ("cable", "Ada’s van")},
)


def faults(reading):
    return [(fault.row, fault.column, fault.message) for fault in reading.faults]


def test_a_stock_row_is_understood():
    (row,) = read_stock("item;place;quantity;pack\nBACK BOX;Ada’s van;12;10\n".encode(), KNOWN).rows
    assert (row.code, row.place, row.quantity, row.pack) == ("back-box", "Ada’s van", Decimal(12), Decimal(10))


def test_an_item_the_firm_does_not_keep_is_new_and_lies_in_the_unit():
    (row,) = read_stock(b"item,quantity\nGland 20,6\n", KNOWN).rows
    assert (row.code, row.name, row.counted_in, row.place) == ("", "Gland 20", "piece", "Unit")


@pytest.mark.parametrize(
    ("line", "column", "words"),
    [
        (",,5", "item", "names its item"),
        ("Back box,,2.5", "quantity", "whole pieces"),
        ("Back box,D9,2", "drum", "does not come on drums"),
        ("Cable 2.5,,40", "drum", "label written on it"),
        ("Gland,D1,", "drum", "does not come on drums"),
        ("Cable 2.5,D1,40", "drum", "it is in Ada’s van"),
        ("Back box,,-3", "quantity", "Allowed"),
        ("Back box,,=1+1", "quantity", "Formulas are not read"),
    ],
)
def test_a_bad_row_is_told_by_row_and_column(line, column, words):
    reading = read_stock(f"item,drum,quantity\nPlug,,1\n{line}\n".encode(), KNOWN)
    [(row, where, message)] = faults(reading)
    assert (reading.rows, row, where) == ((), 3, column)
    assert words in message


def test_the_same_thing_counted_twice_is_told():
    [(row, _, message)] = faults(read_stock(b"item,quantity\nBack box,5\nback-box,6\n", KNOWN))
    assert row == 3
    assert "counted in row 2" in message


def test_two_ways_of_counting_a_new_item_are_told():
    text = b"item,counted in,drum\nBell wire,metres,D7\nBell wire,pieces,\n"
    assert "counted in metres" in faults(read_stock(text, KNOWN))[0][2]


def test_an_empty_list_is_told():
    assert "nothing under it" in faults(read_stock(b"item,quantity\n", KNOWN))[0][2]


def test_a_price_is_read_as_pence():
    (row,) = read_prices("item,price,per,from\nBack box,£8.9,10,31/03/2027\n".encode(), KNOWN).rows
    assert (row.pence, row.per, row.from_on) == (890, Decimal(10), date(2027, 3, 31))


@pytest.mark.parametrize("price", ["1.234", "-1", "ten", "1,000.00", "NaN"])
def test_a_price_that_is_no_sum_of_money_is_told(price):
    (fault,) = read_prices(f'item,price\nBack box,"{price}"\n'.encode(), KNOWN).faults
    assert (fault.row, fault.column) == (2, "price")


def test_a_day_that_a_workbook_holds_as_a_date_is_read():
    book = Workbook()
    book.active.title = "Prices"
    for line in (("item", "price", "from"), ("Back box", 8.9, date(2027, 3, 31))):
        book.active.append(line)
    file = io.BytesIO()
    book.save(file)
    (row,) = read_prices(file.getvalue(), KNOWN).rows
    assert (row.pence, row.from_on) == (890, date(2027, 3, 31))


def test_items_the_firm_does_not_keep_are_faults_or_left_out():
    text = b"item,price\nBack box,1\nChandelier,99\n"
    kept = read_prices(text, KNOWN, leaves_out_unknown=True)
    assert faults(read_prices(text, KNOWN))[0][:2] == (3, "item")
    assert ([row.code for row in kept.rows], kept.notes) == (
        ["back-box"], ("1 row left out: the firm does not keep these items.",)
    )


def test_a_list_of_strangers_alone_saves_nothing():
    assert read_prices(b"item,price\nChandelier,99\n", KNOWN, leaves_out_unknown=True).faults


def test_what_is_written_reads_back_the_same():
    stock = read_stock(b"item,quantity,drum\n'=Back,4,\nCable 2.5,38.5,D4\n", KNOWN).rows
    prices = read_prices(b"item,price,per,from\ncable,71.6,100,2027-01-04\n", KNOWN).rows
    assert read_stock(write_csv(STOCK_HEADING, stock_lines(stock)), KNOWN).rows == stock
    assert read_prices(write_csv(PRICE_HEADING, price_lines(prices)), KNOWN).rows == prices


@pytest.mark.parametrize("write", [lambda *told: write_csv(*told), lambda *told: write_xlsx(*told, "Stock")])
def test_the_filled_example_can_be_brought_in(write):
    assert len(read_stock(write(STOCK_HEADING, EXAMPLE_STOCK), Known()).rows) == len(EXAMPLE_STOCK)


def test_the_example_of_prices_is_read_where_its_items_are_kept():
    known = Known(items=tuple(KnownItem(name, name, "piece") for name, *_ in EXAMPLE_PRICES))
    assert len(read_prices(write_xlsx(PRICE_HEADING, EXAMPLE_PRICES, "Prices"), known).rows) == 2


def test_no_cell_is_taken_for_a_formula():
    text = write_csv(("item",), [[start + "1"] for start in "=+-@"]).decode("utf-8-sig")
    assert text.split() == ["item", "'=1", "'+1", "'-1", "'@1"]

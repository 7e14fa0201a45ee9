import math
from uuid import UUID

import pytest

from jobs.core.operations import BadOperation, read_id, read_operation, with_picture

OP = "6f9619ff-8b86-4d01-b42d-00cf4fc964ff"
ITEM = "0b0e5bb2-6f5a-4e8a-9d7b-5f8f2f6f1c11"
SEEN = "11111111-2222-4333-8444-555555555555"


def body(**changes: object) -> dict[str, object]:
    return {
        "op_id": OP, "kind": "tick", "item": ITEM, "value": {"share": 1, "replaces": []},
        "device_at": "2027-01-12T09:30:00Z", "sent_at": "2027-01-12T09:31:00Z",
    } | changes


def test_tick_is_read():
    operation = read_operation(body(value={"share": 0.25, "replaces": [SEEN]}))

    assert (operation.kind, str(operation.share), operation.replaces) == ("tick", "0.25", {SEEN})


def test_reason_is_read_without_control_letters():
    assert read_operation(body(kind="not_needed", value={"reason": " no\x00 hatch\n\ud800 "})).reason == "no hatch"


def measure(**changes: object) -> dict[str, object]:
    value = {"wall_1": "A", "from_1_mm": "1200", "wall_2": "D", "from_2_mm": 850} | changes
    return body(kind="measure", value=value)


def test_centre_is_read_in_whole_millimetres_when_measured():
    assert read_operation(measure()).value == {"wall_1": "A", "from_1_mm": 1200, "wall_2": "D", "from_2_mm": 850}


def photo(**changes: object) -> dict[str, object]:
    return body(kind="photo", value={"stage": "first_fix", "surface": "A", "point": "", "words": "tape in shot"} | changes)


def snag(**changes: object) -> dict[str, object]:
    return body(kind="snag", value={"stage": "second_fix", "hours": "1.5", "words": "Plate crooked"} | changes)


def hours(given: object) -> dict[str, object]:
    return body(kind="hours", value={"hours": given})


def test_snag_and_hours_are_read_by_quarters_of_an_hour():
    assert read_operation(snag()).value["hours"] == "1.50"
    assert read_operation(hours(7.25)).value == {"hours": "7.25"}


def used(**changes: object) -> dict[str, object]:
    return body(kind="used", value={"drum": "D7", "start_mark": "112.5", "end_mark": "98"} | changes)


def brought_back(**changes: object) -> dict[str, object]:
    return body(kind="brought_back", value={"thing": "cable", "quantity": 4, "label": "D7a"} | changes)


def found(**changes: object) -> dict[str, object]:
    value = {"point_kind": "double-socket", "quantity": "2", "circuit": "", "label": "", "height_mm": "", "words": ""}
    return body(kind="found", value=value | changes)


def put_on_van(**changes: object) -> dict[str, object]:
    value = {"line": SEEN, "on": "2027-01-12", "thing": "clip", "place": "3", "drum": "", "quantity": "12"} | changes
    return body(kind="put_on_van", value=value)


def test_tick_of_a_van_list_is_read():
    assert read_operation(put_on_van()).value == {
        "line": SEEN, "on": "2027-01-12", "thing": "clip", "place": 3, "drum": "", "quantity": "12.00",
    }
    assert read_operation(body(kind="take_off_van", value={"line": SEEN})).value == {"line": SEEN}


def test_use_is_read_as_a_drum_with_marks_or_as_pieces():
    assert read_operation(used()).value["start_mark"] == "112.50"
    assert read_operation(body(kind="used", value={"thing": "clip", "pieces": "40"})).value["pieces"] == "40"


def test_found_point_is_read_without_a_height():
    assert read_operation(found()).value["height_mm"] is None


def readings(**changes: object) -> dict[str, object]:
    value = {"when": "end", "instrument": ITEM, "test_volts": "250", "note": "", "zs": "0,62", "r1_r2": ""} | changes
    return body(kind="readings", value=value)


def test_readings_are_taken_as_written_without_blanks():
    value = read_operation(readings()).value

    assert (value["when"], value["test_volts"], value["written"]) == ("end", 250, {"zs": "0,62"})


@pytest.mark.parametrize("changes", [
    {"when": "later"}, {"instrument": "the blue one"}, {"test_volts": "1000"}, {"zs": ""}, {"zs": 0.62}, {"zs": "1" * 201},
    {"when": "first_fix"}, {"note": "x" * 201},
])
def test_readings_are_bad_when_a_part_makes_no_sense(changes):
    with pytest.raises(BadOperation):
        read_operation(readings(**changes))


def test_photo_differs_when_its_bytes_differ():
    operation = read_operation(photo())

    assert with_picture(operation, "aa").body_hash != with_picture(operation, "bb").body_hash


def test_hash_is_the_same_when_sent_again_later():
    assert read_operation(body()).body_hash == read_operation(body(sent_at="2027-01-13T09:31:00Z")).body_hash


def test_hash_differs_when_the_id_is_used_for_something_else():
    assert read_operation(body()).body_hash != read_operation(body(value={"share": 0.5})).body_hash


def test_id_can_be_read_when_the_rest_is_bad():
    assert read_id(body(kind="demolish")) == OP


@pytest.mark.parametrize("odd", [None, [], "tick", {"op_id": 5}, {"op_id": "x" * 100}])
def test_there_is_no_id_when_it_is_not_a_short_text(odd):
    assert read_id(odd) is None


@pytest.mark.parametrize(
    "odd",
    [
        None,
        [],
        "tick",
        body(op_id="1"),
        body(op_id=7),
        body(op_id=None),
        body(item="../../etc/passwd"),
        body(kind="demolish"),
        body(kind=["tick"]),
        body(value="all"),
        body(value={"share": 1e9}),
        body(value={"share": 0}),
        body(value={"share": -1}),
        body(value={"share": True}),
        body(value={"share": None}),
        body(value={"share": [1]}),
        body(value={"share": "half"}),
        body(value={"share": math.nan}),
        body(value={"share": math.inf}),
        body(value={"share": 10**400}),
        body(value={"share": 1, "replaces": "all"}),
        body(value={"share": 1, "replaces": [5]}),
        body(value={"share": 1, "replaces": [OP]}),
        body(value={"share": 1, "replaces": [SEEN] * 201}),
        body(kind="untick", value={"replaces": []}),
        body(kind="not_needed", value={"reason": "x" * 1_000_000}),
        body(kind="not_needed", value={"reason": " \n "}),
        body(kind="not_needed", value={}),
        body(device_at="yesterday"),
        body(device_at="2027-01-12T09:30:00"),
        body(device_at=1768210200),
        body(device_at="2031-01-12T09:30:00Z"),
        body(device_at="0001-01-01T00:00:00Z"),
        body(sent_at=None),
        used(start_mark=1e9),
        used(start_mark=-1),
        used(start_mark="98.00"),
        used(end_mark=None),
        used(drum=""),
        used(drum=7),
        body(kind="used", value={"thing": "clip", "pieces": 1e9}),
        body(kind="used", value={"thing": "clip", "pieces": "1.5"}),
        brought_back(quantity=0),
        brought_back(quantity=1e9),
        brought_back(label="x" * 1_000_000),
        put_on_van(line="1"),
        put_on_van(on="soon"),
        put_on_van(thing=""),
        put_on_van(place="unit"),
        put_on_van(place=2**31),
        put_on_van(drum="x" * 1_000_000),
        put_on_van(quantity=0),
        put_on_van(quantity=1e9),
        body(kind="take_off_van", value={}),
        found(quantity=0),
        found(quantity=1e9),
        found(height_mm=-5),
        found(point_kind=""),
        found(words=["x"]),
        snag(stage="plaster_wait"),
        snag(hours=0),
        snag(hours=1e9),
        snag(hours="0.3"),
        snag(words=" "),
        snag(words="x" * 1_000_000),
        hours(-1),
        hours(25),
        hours(7.1),
        hours(None),
        hours([8]),
        photo(stage="demolition"),
        photo(surface="roof"),
        photo(point="../../x"),
        photo(words=5),
        photo(words="x" * 1_000_000),
        measure(wall_1="B"),
        measure(wall_2="A"),
        measure(wall_2=["B"]),
        measure(from_1_mm=1e9),
        measure(from_1_mm=-1),
        measure(from_1_mm="0.5"),
        measure(from_2_mm=""),
        measure(from_2_mm=None),
        measure(from_2_mm="1" * 1_000_000),
    ],
)
def test_operation_is_bad_when_a_part_makes_no_sense(odd):
    with pytest.raises(BadOperation):
        read_operation(odd)


def test_operation_is_good_when_the_phone_clock_was_put_back_three_days():
    assert read_operation(body(device_at="2027-01-15T09:30:00Z"))


POINT = UUID(ITEM).hex


def sockets(**changes: object) -> dict[str, object]:
    value = {"when": "end", "instrument": "", f"cross_live_{POINT}": "0,22", f"cross_cpc_{POINT}": ""} | changes
    return body(kind="sockets", value=value)


def test_sockets_are_read_by_point_without_blanks():
    assert read_operation(sockets()).value["written"] == {str(UUID(ITEM)): {"cross_live": "0,22"}}


@pytest.mark.parametrize("changes", [
    {"when": "later"}, {"cross_live_lounge": "0.2"}, {f"cross_live_{POINT}": ""}, {f"cross_live_{POINT}": 0.2},
    {f"cross_live_{number:032x}": "1" for number in range(401)},
])
def test_sockets_are_bad_when_a_part_makes_no_sense(changes):
    with pytest.raises(BadOperation):
        read_operation(sockets(**changes))


def test_supply_is_taken_as_written_and_needs_a_reading():
    assert read_operation(body(kind="supply", value={"ze": "0,31", "pfc": ""})).value["written"] == {"ze": "0,31"}
    with pytest.raises(BadOperation):
        read_operation(body(kind="supply", value={"ze": " "}))

"""Operations that make no sense: each gets its documented answer and changes nothing (OWASP ASVS 5.0, 2.2.2)."""

import json
import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.models import (
    Job,
    Photo,
    RoomTask,
    SiteOperation,
    Snag,
    StockMove,
    Variation,
    WorkedHours,
)
from tests.factories import (
    make_area,
    make_crew_user,
    make_firm,
    make_job,
    make_package,
    make_person,
    make_point,
    make_point_kind,
    make_room,
)

pytestmark = pytest.mark.django_db

WRITTEN = (SiteOperation, Snag, Photo, StockMove, Variation, WorkedHours)
GOOD = {
    "tick": {"share": 1},
    "measure": {"wall_1": "A", "from_1_mm": 1, "wall_2": "B", "from_2_mm": 1},
    "snag": {"stage": "first_fix", "hours": 1, "words": "Box loose"},
    "hours": {"hours": 8},
    "used": {"drum": "D7", "start_mark": 1, "end_mark": 2},
    "brought_back": {"thing": "clip", "quantity": 1, "label": ""},
    "found": {"point_kind": "socket", "quantity": 1},
}


def make_items(firm) -> dict[str, uuid.UUID]:
    """What operations of each kind can be about in a house of the firm."""
    area = make_area(make_job(firm, state=Job.State.ON_SITE))
    package, room, kind = make_package(area), make_room(area), make_point_kind(firm, "socket")
    task = RoomTask.objects.create(firm=firm, package=package, room=room, code="sockets", text="Sockets", labour_hours=4)
    items = dict.fromkeys(("hours", "used", "brought_back"), package.uid) | dict.fromkeys(("snag", "found"), room.uid)
    return items | {"tick": task.uid, "measure": make_point(room, kind).uid}


@pytest.fixture
def items(firm):
    return make_items(firm)


@pytest.fixture
def phone(client, firm):
    client.force_login(make_crew_user(make_person(firm)))
    return client


def send(phone, kind: object, item: object, value: object, **changes: object):
    operation = {"op_id": str(uuid.uuid4()), "kind": kind, "item": str(item), "value": value}
    moment = timezone.now().isoformat()
    body = {"sent_at": moment, "operations": [operation | {"device_at": moment} | changes]}
    return phone.post(reverse("sync"), json.dumps(body), content_type="application/json")


def assert_bad(response) -> None:
    """Final, acknowledged, with a sentence for the person; nothing written."""
    answer = response.json()["answers"][0]
    assert (answer["status"], answer["result"], bool(answer["ack"] and answer["reason"])) == (422, "bad", True)
    assert not any(model.objects.exists() for model in WRITTEN)
    assert not RoomTask.objects.exclude(done_share=0).exists()


@pytest.mark.parametrize("kind", ["demolish", "", None, 7, ["tick"], "TICK"])
def test_unknown_kind_is_bad(phone, items, kind):
    assert_bad(send(phone, kind, items["tick"], {}))


@pytest.mark.parametrize("kind", GOOD)
def test_thing_of_another_firm_is_bad(phone, kind):
    theirs = make_items(make_firm("Other"))

    assert_bad(send(phone, kind, theirs[kind], GOOD[kind]))


@pytest.mark.parametrize("kind", GOOD)
def test_thing_of_another_sort_is_bad(phone, items, kind):
    other = items["hours"] if kind in {"tick", "measure", "snag", "found"} else items["tick"]

    assert_bad(send(phone, kind, other, GOOD[kind]))


FIGURES = [
    ("tick", "share"), ("measure", "from_1_mm"), ("snag", "hours"), ("hours", "hours"), ("used", "end_mark"),
    ("brought_back", "quantity"), ("found", "quantity"), ("found", "height_mm"),
]


@pytest.mark.parametrize(("kind", "name"), FIGURES)
@pytest.mark.parametrize("figure", [1e9, -1, "1e400", "NaN", True, [1], {"a": 1}, "many"], ids=repr)
def test_figure_out_of_all_proportion_or_of_the_wrong_type_is_bad(phone, items, kind, name, figure):
    assert_bad(send(phone, kind, items[kind], GOOD[kind] | {name: figure}))


@pytest.mark.parametrize("kind", GOOD)
@pytest.mark.parametrize("value", [None, [], "all", 7])
def test_value_that_is_no_object_is_bad(phone, items, kind, value):
    assert_bad(send(phone, kind, items[kind], value))


@pytest.mark.parametrize("kind", GOOD)
def test_moment_years_ahead_is_bad(phone, items, kind):
    assert_bad(send(phone, kind, items[kind], GOOD[kind], device_at="2093-01-01T00:00:00Z"))


@pytest.mark.parametrize(("kind", "name"), [("snag", "words"), ("found", "words"), ("used", "drum"), ("brought_back", "label")])
def test_text_of_a_megabyte_is_bad(phone, items, kind, name):
    assert_bad(send(phone, kind, items[kind], GOOD[kind] | {name: "x" * 1_000_000}))


def test_photo_without_its_bytes_is_bad(phone, items):
    assert_bad(send(phone, "photo", items["snag"], {"stage": "first_fix", "surface": "", "point": "", "words": ""}))


def test_control_letters_and_tags_in_words_are_kept_as_plain_text(phone, items):
    send(phone, "snag", items["snag"], GOOD["snag"] | {"words": "<b>Box\x00\n loose"})

    assert Snag.objects.get().words == "<b>Box loose"

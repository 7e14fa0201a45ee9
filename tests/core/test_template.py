from jobs.core.stages import RoomKind
from jobs.core.template import Node, Rule, find_way, is_plastered, list_waits

UP, DOWN = 1, 2
NODES = [
    Node("fix-up", "first_fix", UP),
    Node("fix-down", "first_fix", DOWN),
    Node("plaster-up", "plasterer", UP),
    Node("plaster-down", "plasterer", DOWN),
    Node("plumber", "plumber"),
]


def _pairs(*rules, drying_days=0):
    return [(wait.before, wait.after) for wait in list_waits(NODES, rules, drying_days=drying_days)]


def test_areas_wait_for_themselves_alone_when_the_rule_goes_area_by_area():
    assert _pairs(Rule("first_fix", "plasterer")) == [("fix-up", "plaster-up"), ("fix-down", "plaster-down")]


def test_every_area_waits_for_every_other_when_the_rule_is_for_the_house():
    assert len(_pairs(Rule("first_fix", "plasterer", same_area=False))) == 4


def test_every_area_waits_when_the_visit_is_for_the_whole_house():
    assert _pairs(Rule("plumber", "first_fix")) == [("plumber", "fix-up"), ("plumber", "fix-down")]


def test_rule_is_left_out_when_the_house_has_no_such_visit():
    assert _pairs(Rule("tiler", "first_fix")) == []


def test_drying_counts_when_the_rule_waits_for_plaster():
    waits = list_waits(NODES, [Rule("plasterer", "plumber", waits_for_plaster=True, lag_days=1)], drying_days=14)
    assert {wait.lag_days for wait in waits} == {14}


def test_way_is_named_in_order_when_one_leads_there():
    assert find_way([("a", "b"), ("b", "c"), ("a", "d")], "a", "c") == ["a", "b", "c"]


def test_way_is_empty_when_none_leads_there():
    assert find_way([("a", "b")], "b", "a") == []


def test_way_ends_when_the_waits_run_in_a_circle():
    assert find_way([("a", "b"), ("b", "a")], "a", "c") == []


def test_plasterer_is_wanted_when_one_room_has_plaster():
    assert is_plastered([RoomKind.LOFT, RoomKind.BEDROOM])
    assert not is_plastered([RoomKind.LOFT, RoomKind.OUTSIDE])

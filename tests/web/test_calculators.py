import re

import pytest
from django.urls import reverse

from jobs.core.electrics.rule_book import every_rule
from jobs.core.electrics.rules import CAUTION, EDITION_NOTE
from tests.factories import make_crew_user, make_firm, make_person

pytestmark = pytest.mark.django_db
ZONES = {
    "what": "zones", "wall_length_mm": 4000, "wall_height_mm": 2400, "point_x_mm": 2000, "point_y_mm": 450,
    "point_width_mm": 86, "from_x_mm": 2000, "from_y_mm": 2400, "to_x_mm": 2000, "to_y_mm": 450, "depth_mm": 15,
}


@pytest.fixture
def phone(client):
    client.force_login(make_crew_user(make_person(make_firm())))
    return client


def ask(phone, **query) -> str:
    response = phone.get(reverse("calculators"), query)
    assert response.status_code == 200
    return re.sub(r"\s+", " ", response.content.decode().replace("&#x27;", "'"))


def test_page_has_every_limit_with_its_source_and_the_caution_once(phone):
    shown = ask(phone)
    assert "2500 mm</a>" in shown
    assert "3000 mm</a>" in shown
    assert "Table 4.10" in shown
    assert (shown.count(EDITION_NOTE), shown.count(CAUTION)) == (1, 1)


def test_every_figure_leads_to_a_row_that_is_listed(phone):
    linked = set(re.findall(r"#rule-([^\"]+)\"", ask(phone, what="ring", cable="2.5", loop_metres="60")))
    listed = phone.get(reverse("site_rules")).content.decode()
    assert linked <= every_rule().keys()
    assert all(f'id="rule-{code}"' in listed for code in linked)


@pytest.mark.parametrize(
    ("query", "words"), [
        (ZONES, "1957 to 2043 mm across"),
        ({"what": "clips", "cable": "1.5", "across_metres": "12", "down_metres": "2.4"}, "= 54"),
        ({"what": "ring", "cable": "2.5", "loop_metres": "60"}, "0.293 Ω half-way"),
        ({"what": "bathroom", "has_tray": "on", "across_mm": "300", "height_mm": "1000"}, "Zone 2"),
    ]
)
def test_each_calculator_answers_when_asked(phone, query, words):
    assert words in ask(phone, **query)


def test_only_the_one_asked_is_open_and_says_what_is_wrong(phone):
    shown = ask(phone, what="ring", cable="7", loop_metres="-1")
    assert shown.count("errorlist") == 2
    assert shown.count(" open>") == 1


@pytest.mark.parametrize(
    "odd", [{"what": "saw"}, {"what": "clips", "across_metres": "NaN"}, {"what": "zones", "wall_length_mm": "1e9"}]
)
def test_odd_questions_get_a_page(phone, odd):
    assert "Calculators" in ask(phone, **odd)


def test_stranger_signs_in_first(client):
    assert client.get(reverse("calculators")).status_code == 302

import logging
import re

import pytest
from django.test import Client
from django.urls import reverse

from rewire.log import WithRequest
from tests.factories import make_firm, make_office

pytestmark = pytest.mark.django_db


@pytest.fixture
def lines(caplog: pytest.LogCaptureFixture) -> pytest.LogCaptureFixture:
    caplog.handler.addFilter(WithRequest())
    caplog.set_level(logging.INFO, logger="jobs.web.request_log")
    return caplog


def test_view_and_person_are_logged_when_a_page_is_read(client: Client, lines: pytest.LogCaptureFixture) -> None:
    office = make_office(make_firm())
    client.force_login(office)
    client.get(reverse("job_list"))
    assert re.fullmatch(rf"GET job_list 200 \d+ ms, user {office.pk}", lines.records[-1].getMessage())


def test_secret_stays_out_when_a_link_is_opened(client: Client, lines: pytest.LogCaptureFixture) -> None:
    client.get("/t/a-secret-that-opens-nothing/?name=Ottoline")
    assert "trade_page 404" in lines.text
    told = [record.getMessage() for record in lines.records if record.name == "jobs.web.request_log"]
    assert not re.search("a-secret|Ottoline", " ".join(told))


def test_answer_names_the_number_of_its_lines_when_somebody_asks_about_it(
    client: Client, lines: pytest.LogCaptureFixture
) -> None:
    response = client.get(reverse("sign_in"))
    assert {record.request_id for record in lines.records} == {response["X-Request-Id"]}


def test_numbers_differ_when_there_are_two_requests(client: Client) -> None:
    first, second = (client.get(reverse("sign_in"))["X-Request-Id"] for _ in range(2))
    assert first != second

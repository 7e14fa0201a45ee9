"""Every page as an HTML parser of the WHATWG standard reads it (html5lib): not one parse error."""

from collections.abc import Iterator

import html5lib
import pytest
from django.test import Client
from django.urls import reverse

from tests.browser.story_world import Story
from tests.browser.walk import list_addresses, make_working_story
from tests.factories import make_crew_user

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def story() -> Story:
    return make_working_story()


def list_site_addresses(story: Story) -> Iterator[str]:
    yield from (reverse(name) for name in ("today", "offline", "joists"))
    yield f"{reverse('joists')}?what=hole&span_mm=4000&depth_mm=200&size_mm=25&place_mm=1200"
    yield from (reverse(name, args=[story.job.pk]) for name in ("site_job", "site_cuts"))
    for room in story.job.rooms.all():
        yield from (reverse(name, args=[room.pk]) for name in ("site_room", "room_sheet"))


def faults(client: Client, address: str) -> list[str]:
    answer = client.get(address)
    parser = html5lib.HTMLParser()
    parser.parse(answer.content, transport_encoding="utf-8")
    found = [f"{address} {place}: {code} {about}" for place, code, about in parser.errors]
    return found if answer.status_code == 200 else [*found, f"{address}: {answer.status_code}"]


def test_office_outside_and_site_pages_have_no_parse_error_when_a_firm_is_at_work(client, story):
    strangers = [fault for name in ("sign_in", "sign_in_link") for fault in faults(client, reverse(name))]
    client.force_login(story.office)
    office = [fault for address in list_addresses(story) for fault in faults(client, address)]
    client.force_login(make_crew_user(story.electrician))
    site = [fault for address in list_site_addresses(story) for fault in faults(client, address)]

    assert strangers + office + site == []

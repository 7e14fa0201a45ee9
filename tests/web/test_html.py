"""Every page as a parser of the WHATWG standard reads it: not one parse error; see `tests.html_checker` for more."""

from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from tests.browser.story_world import Story
from tests.browser.walk import list_addresses, make_working_story
from tests.factories import make_crew_user, make_instrument
from tests.html_checker import find_faults
from tests.web.page_states import collect_states

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def story() -> Story:
    return make_working_story()


def list_site_addresses(story: Story) -> Iterator[str]:
    yield from (reverse(name) for name in ("today", "offline", "joists", "site_van", "scan"))
    yield from (reverse(name) for name in ("calculators", "site_rules"))
    yield f"{reverse('calculators')}?what=ring&cable=2.5&loop_metres=60"
    yield f"{reverse('joists')}?what=hole&span_mm=4000&depth_mm=200&size_mm=25&place_mm=1200"
    yield from (reverse(name, args=[story.job.pk]) for name in ("site_job", "site_cuts"))
    yield from (reverse("site_readings", args=[story.job.pk, when]) for when in ("first_fix", "end"))
    for room in story.job.rooms.all():
        yield from (reverse(name, args=[room.pk]) for name in ("site_room", "room_sheet"))


def load(client: Client, addresses: Iterable[str]) -> dict[str, bytes]:
    answers = {address: client.get(address) for address in addresses}
    assert {address: answer.status_code for address, answer in answers.items() if answer.status_code != 200} == {}
    return {address: answer.content for address, answer in answers.items()}


def test_office_outside_and_site_pages_have_no_fault_when_a_firm_is_at_work(client, story):
    pages = load(client, [reverse(name) for name in ("sign_in", "sign_in_link")])
    client.force_login(story.office)
    pages |= load(client, list_addresses(story))
    story.electrician.may_test = True
    story.electrician.save()
    make_instrument(story.office.firm)
    client.force_login(make_crew_user(story.electrician))
    pages |= load(client, list_site_addresses(story))

    faults = find_faults(pages)
    assert not faults, "\n".join(faults)


def test_pages_have_no_fault_when_they_are_empty_wrong_or_refused(tmp_path: Path) -> None:
    states = collect_states(tmp_path)
    faults = find_faults({name: answer.body for name, answer in states.items()})
    assert not faults, "\n".join(faults)
    assert len(states) > 150

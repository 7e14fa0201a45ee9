"""The README's pictures can be taken anew from a firm at work."""

import re
from io import BytesIO
from pathlib import Path

import pytest
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from jobs.actions.devices import make_sign_in
from jobs.actions.issuing import issue_plan
from jobs.actions.links import make_link
from jobs.actions.planning import plan_again
from jobs.management.demo.plan import Addresses
from jobs.management.pictures import shrink, take_pictures
from jobs.models import SecretLink
from jobs.queries.links import address_path
from jobs.queries.plans import find_draft
from tests.browser.story_world import Story, let_the_planner_work, make_story
from tests.factories import PASSWORD

ROOT = Path(__file__).resolve().parent.parent.parent
IN_README = [ROOT / name for name in re.findall(r"\((\.pictures/[\w-]+\.png)\)", (ROOT / "README.md").read_text("utf-8"))]


def _addresses(story: Story) -> Addresses:
    now, office = timezone.now(), story.office
    plan_again(firm=office.firm, by=office, seconds=1, now=now)
    let_the_planner_work()
    draft = find_draft(office.firm)
    issue_plan(plan=draft, version=draft.version, by=office, now=now)
    link, _ = make_link(purpose=SecretLink.Purpose.TRADE_PAGE, contact=story.plasterer, by=office, now=now)
    phone = make_sign_in(person=story.electrician, by=office, now=now)
    return Addresses(
        office=reverse("sign_in"), username=office.username, person=story.electrician.name,
        phone=f"{reverse('sign_in_link')}#{phone.token}", phone_code=phone.code, trade_name=story.plasterer.name,
        trade=address_path(link), customer_name="", customer="", calendar="",
    )


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_each_story_has_its_picture_when_they_are_taken_anew(browser, live_server, tmp_path):
    files = take_pictures(browser, live_server.url, _addresses(make_story()), PASSWORD, tmp_path / "new")

    assert [file.name for file in files] == [file.name for file in IN_README]
    assert [Image.open(file).width for file in files] == [1280, 390, 390]


def test_picture_looks_the_same_when_it_is_shrunk():
    before = BytesIO()
    Image.linear_gradient("L").convert("RGB").save(before, "PNG")
    after = Image.open(BytesIO(shrink(before.getvalue())))

    assert abs(after.convert("L").getpixel((0, 200)) - 200) <= 4


@pytest.mark.parametrize("file", IN_README, ids=lambda file: file.name)
def test_picture_is_small_when_the_readme_shows_it(file):
    assert 1_000 < file.stat().st_size < 100_000

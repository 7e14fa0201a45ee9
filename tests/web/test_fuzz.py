"""Nonsense in every form of every page: an answer with a sentence, never a breakdown."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.browser.story_world import Story
from tests.browser.walk import list_addresses, make_working_story
from tests.factories import make_crew_user
from tests.web.page_forms import PageForm, read_forms

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.once]

NONSENSE = [
    "", " ", "0", "-1", "1", "1e9", "-1e309", "NaN", "Infinity", "999999999999999999999", "0.0000001", "1,5", "½", "½ m", "on",
    "0000-00-00", "0001-01-01", "9999-12-31", "2027-02-30", "2027-02-28", "24:00", "08:00", "12:30:99", "null", "[]", "{}",
    "a" * 5000, "\x00", "\ud83d\ude00".encode("utf-16", "surrogatepass").decode("utf-16"), "\r\nBCC: x@y.example",
    "=1+1", "<script>alert(1)</script>", "' OR 1=1 --", "../../etc/passwd", "x@y.example", "javascript:alert(1)", "٣", "１２",
]
TEXTS = st.one_of(
    st.sampled_from(NONSENSE), st.text(max_size=40), st.integers().map(str), st.decimals().map(str),
    st.dates().map(str),
)
SIGNED_OUT = ("/sign-out/", "/password/")
"""Forms that end the session that the next example needs."""


@pytest.fixture
def story() -> Story:
    return make_working_story()


def site_addresses(story: Story) -> list[str]:
    room = story.job.rooms.first()
    of_job = [reverse(name, args=[story.job.pk]) for name in ("site_job", "site_cuts")]
    return [reverse("today"), reverse("joists"), reverse("calculators"), *of_job, reverse("site_room", args=[room.pk])]


def find_forms(client: Client, addresses: list[str]) -> list[PageForm]:
    """One of each shape."""
    found = {}
    for address in addresses:
        for form in read_forms(address, client.get(address).content.decode()):
            if not form.action.endswith(SIGNED_OUT):
                found.setdefault(form.shape, form)
    return [found[shape] for shape in sorted(found, key=str)]


@st.composite
def filled(draw: st.DrawFn, form: PageForm) -> dict[str, object]:
    """The form as it stands with some fields changed, left out or doubled."""
    sent = {name: list(values) for name, values in form.values.items()}
    for name in draw(st.sets(st.sampled_from(sorted(sent)), max_size=4)) if sent else ():
        own = st.sampled_from(form.choices[name]) if form.choices.get(name) else TEXTS
        sent[name] = draw(st.lists(st.one_of(own, TEXTS), max_size=2))
    for name in sorted(form.files):
        if draw(st.booleans()):
            content = draw(st.one_of(st.binary(max_size=300), st.lists(TEXTS).map(lambda cells: ",".join(cells).encode())))
            sent[name] = SimpleUploadedFile(draw(st.sampled_from(["a.csv", "a.xlsx", "a.jpg", "a.ics", "../a"])), content)
    return sent


def send_nonsense(client: Client, forms: list[PageForm], examples: int) -> None:
    @settings(max_examples=examples, database=None, suppress_health_check=list(HealthCheck))
    @given(st.data())
    def answers_in_words(data: st.DataObject) -> None:
        form = data.draw(st.sampled_from(forms))
        with transaction.atomic():
            answer = client.post(form.action, data.draw(filled(form)))
            transaction.set_rollback(True)
        assert answer.status_code < 500

    answers_in_words()


def test_office_answers_in_words_when_nonsense_is_sent(client: Client, story: Story, pytestconfig: pytest.Config) -> None:
    client.force_login(story.office)
    forms = find_forms(client, list_addresses(story))
    assert len(forms) > 40
    send_nonsense(client, forms, pytestconfig.getoption("nonsense"))


def test_site_answers_in_words_when_nonsense_is_sent(client: Client, story: Story, pytestconfig: pytest.Config) -> None:
    client.force_login(make_crew_user(story.electrician))
    send_nonsense(client, find_forms(client, site_addresses(story)), pytestconfig.getoption("nonsense") // 4)

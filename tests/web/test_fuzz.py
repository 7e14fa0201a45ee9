"""Nonsense in every form of every page: an answer with a sentence, never a breakdown; what is refused changes no row."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.actions.operations import apply_operation
from jobs.actions.replies import take_mail
from jobs.models import Contact, Invitation, MailAnswer
from jobs.models.change_marks import MARKS
from tests.browser.story_world import Story
from tests.browser.walk import list_addresses, make_working_story
from tests.calendars.test_nonsense import altered
from tests.core.test_nonsense import operations
from tests.factories import NOW, make_crew_user
from tests.incoming import read_template
from tests.nonsense import TEXTS, check_many
from tests.told import make_told
from tests.web.page_forms import PageForm, read_forms

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.once]

SIGNED_OUT = ("/sign-out/", "/password/")
"""Forms that end the session that the next example needs."""
UNMARKED = ("jobs_outboxentry", "jobs_trailentry", "jobs_delivery", "jobs_device", "jobs_signincode")


FINAL = {200, 409, 422}
"""What a phone forgets an operation on: applied or known, refused and kept as refused, makes no sense."""


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


def standing() -> tuple[int, ...]:
    """Every firm's mark of change, which any change of a row moves on, and how much there is of what has no mark."""
    counts = ", ".join(f"(SELECT count(*) FROM {table})" for table in UNMARKED)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT (SELECT sum(id) FROM {MARKS}), {counts}")
        return cursor.fetchone()


def send_nonsense(client: Client, forms: list[PageForm], examples: int) -> None:
    @settings(max_examples=examples, database=None, suppress_health_check=list(HealthCheck))
    @given(st.data())
    def answers_in_words(data: st.DataObject) -> None:
        form = data.draw(st.sampled_from(forms))
        with transaction.atomic():
            before = standing()
            answer = client.post(form.action, data.draw(filled(form)))
            after = standing()
            transaction.set_rollback(True)
        assert answer.status_code < 500
        assert answer.status_code < 400 or after == before

    answers_in_words()


def test_office_answers_in_words_when_nonsense_is_sent(client: Client, story: Story, pytestconfig: pytest.Config) -> None:
    client.force_login(story.office)
    forms = find_forms(client, list_addresses(story))
    assert len(forms) > 40
    send_nonsense(client, forms, pytestconfig.getoption("nonsense"))


def test_site_answers_in_words_when_nonsense_is_sent(client: Client, story: Story, pytestconfig: pytest.Config) -> None:
    client.force_login(make_crew_user(story.electrician))
    send_nonsense(client, find_forms(client, site_addresses(story)), pytestconfig.getoption("nonsense") // 4)


def test_phone_is_answered_finally_when_its_operations_are_nonsense(
    client: Client, story: Story, pytestconfig: pytest.Config
) -> None:
    room = story.job.rooms.first()
    items = [room.uid, room.tasks.first().uid, room.points.first().uid, story.job.packages.first().uid, story.electrician.uid]
    client.force_login(make_crew_user(story.electrician))

    def is_answered(sent: tuple[object, object, object]) -> None:
        body, item, op_id = sent
        body = body | {"item": str(item), "op_id": str(op_id)} if isinstance(body, dict) else body
        with transaction.atomic():
            before, answer = standing(), apply_operation(user=story.electrician.user, body=body, now=timezone.now())
            after = standing()
            transaction.set_rollback(True)
        assert answer.status in FINAL
        assert answer.status != 422 or (after == before and answer.reason)

    check_many(pytestconfig, st.tuples(operations(), st.sampled_from(items), st.uuids(version=4)), is_answered, times=0.5)


def test_mail_changes_nothing_or_is_kept_with_what_came_of_it_when_it_is_nonsense(pytestconfig, settings) -> None:
    settings.REPLY_ADDRESS = "dates@rewire.example"
    told = make_told()
    Contact.objects.filter(pk=told.contact.pk).update(email="pat@trades.example")
    invitation = Invitation.objects.get()
    places = {"uid": invitation.uid, "organizer": invitation.organizer}

    def is_taken(raw: bytes) -> None:
        with transaction.atomic():
            before, taken = standing(), take_mail(raw, now=NOW + timedelta(hours=3))
            after, kept = standing(), MailAnswer.objects.count()
            transaction.set_rollback(True)
        assert taken.words
        assert after == before or kept == 1

    mails = st.sampled_from(["phone_reply", "web_counter", "office_reply"]).flatmap(
        lambda name: altered(read_template(name, **places))
    )
    check_many(pytestconfig, mails, is_taken, times=0.5)

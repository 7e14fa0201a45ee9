from datetime import UTC, datetime, timedelta

import pytest
from django.core import mail

from jobs import outbox
from jobs.actions.permission import Refused
from jobs.actions.posting import pass_on
from jobs.models import Contact, Delivery, Notice, OutboxEntry
from jobs.queries.channels import load_waiting
from tests.factories import NOW
from tests.told import FRIDAY, NEXT_FRIDAY, Told, issue_next

pytestmark = pytest.mark.django_db

EVENING = datetime(2027, 1, 12, 20, 30, tzinfo=UTC)
MORNING = datetime(2027, 1, 13, 7, tzinfo=UTC)


class Recorder:
    """A gateway that keeps what it was given."""

    sent: list[dict[str, str]] = []

    def send(self, **message: str) -> None:
        self.sent.append(message)


@pytest.fixture
def gateway(settings, monkeypatch) -> type[Recorder]:
    settings.TEXT_GATEWAY = f"{__name__}.Recorder"
    monkeypatch.setattr(Recorder, "sent", [])
    return Recorder


def newest() -> Notice:
    return Notice.objects.latest("pk")


def change_contact(told: Told, **fields: str) -> None:
    Contact.objects.filter(pk=told.contact.pk).update(**fields)


def test_mail_waits_for_the_morning_when_a_plan_is_issued_at_night(told):
    issue_next(told, NEXT_FRIDAY, EVENING)
    assert OutboxEntry.objects.get(key=f"notice:{newest().pk}").due_at == MORNING
    assert load_waiting([newest()], EVENING) == {newest().pk: MORNING}


def test_nothing_leaves_before_the_morning_when_the_outbox_runs_at_night(told):
    outbox.run_due(EVENING)
    issue_next(told, NEXT_FRIDAY, EVENING)
    before = len(mail.outbox)
    outbox.run_due(EVENING + timedelta(minutes=5))
    assert len(mail.outbox) == before
    outbox.run_due(MORNING)
    assert len(mail.outbox) == before + 1


def test_mail_leaves_at_night_when_tomorrow_is_called_off(told):
    night = datetime(2027, 1, 14, 21, tzinfo=UTC)
    assert told.date.starts_on == FRIDAY
    issue_next(told, NEXT_FRIDAY, night)
    assert OutboxEntry.objects.get(key=f"notice:{newest().pk}").due_at == night


def test_nothing_is_mailed_when_the_contact_wants_phone_messages(told):
    change_contact(told, channel="copy")
    issue_next(told, NEXT_FRIDAY, NOW + timedelta(hours=1))
    assert not OutboxEntry.objects.filter(key=f"notice:{newest().pk}").exists()
    assert not newest().invitation_messages.exists()


def test_it_is_kept_who_passed_a_message_on_and_when(told):
    change_contact(told, channel="copy", phone="07700 900321")
    issue_next(told, NEXT_FRIDAY, NOW + timedelta(hours=1))
    delivery = pass_on(notice=newest(), by=told.office, now=NOW + timedelta(hours=2))
    assert (delivery.channel, delivery.passed_by, delivery.address) == ("copy", told.office, "07700 900321")
    with pytest.raises(Refused, match="gone already"):
        pass_on(notice=newest(), by=told.office, now=NOW + timedelta(hours=3))


def test_nothing_is_mailed_when_the_message_was_passed_on_before(told):
    pass_on(notice=newest(), by=told.office, now=NOW)
    outbox.run_due(NOW)
    assert mail.outbox == []


def test_text_leaves_by_the_firms_gateway_once_when_the_outbox_runs_twice(told, gateway):
    change_contact(told, channel="text", phone="07700 900321")
    for _ in range(2):
        OutboxEntry.objects.update(state="waiting", done_at=None)
        outbox.run_due(NOW + timedelta(hours=1))
    (sent,) = gateway.sent
    assert (sent["number"], sent["reference"]) == ("07700 900321", newest().message_id)
    assert "Plastering, Mill Row Pat: Fri 15 January" in sent["text"]
    assert (mail.outbox, Delivery.objects.get().channel) == ([], "text")


def test_message_waits_to_be_copied_when_there_is_no_gateway(told):
    change_contact(told, channel="text", phone="07700 900321")
    outbox.run_due(NOW + timedelta(hours=1))
    assert (mail.outbox, Delivery.objects.count()) == ([], 0)

import pytest
from django.core.management import CommandError, call_command

from jobs.management.commands import firm as command
from jobs.models import Firm, User
from tests.factories import PASSWORD

pytestmark = pytest.mark.django_db


@pytest.fixture
def type_passwords(monkeypatch):
    """Answers the two questions for a password."""

    def _type(*answers: str) -> None:
        left = list(answers)
        monkeypatch.setattr(command, "getpass", lambda question: left.pop(0))

    return _type


def test_firm_and_its_office_are_there_when_both_passwords_agree(type_passwords):
    type_passwords(PASSWORD, PASSWORD)
    call_command("firm", "Reed Lane Electrics", office="nell")
    assert User.objects.get(username="nell").firm.name == "Reed Lane Electrics"


def test_nothing_is_added_when_the_passwords_differ(type_passwords):
    type_passwords(PASSWORD, PASSWORD + "!")
    with pytest.raises(CommandError, match="differ"):
        call_command("firm", "Reed Lane Electrics", office="nell")
    assert not Firm.objects.exists()


def test_nothing_is_added_when_the_password_is_poor(type_passwords):
    type_passwords("brief", "brief")
    with pytest.raises(CommandError, match="Nothing was added"):
        call_command("firm", "Reed Lane Electrics", office="nell")
    assert not Firm.objects.exists()

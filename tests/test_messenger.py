import pytest
from pytest_django import Settings

from jobs import messenger
from tests.faults.brokers import use_broker
from tests.services import free_port

pytestmark = pytest.mark.once


@pytest.fixture
def broker_away(settings: Settings, monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """A broker address where nothing listens; the list of entries that were offered to it."""
    app = use_broker(f"redis://127.0.0.1:{free_port()}/0", settings, monkeypatch)
    offered: list[int] = []
    send = app.send_task
    monkeypatch.setattr(app, "send_task", lambda name, args: (offered.extend(args), send(name, args=args)))
    return offered


def test_runner_threads_are_woken_when_there_is_no_broker(settings: Settings) -> None:
    settings.REDIS_URL = ""
    messenger.work_arrived.clear()
    assert messenger.tell(1)
    assert messenger.work_arrived.is_set()


def test_trouble_is_swallowed_when_the_broker_is_away(broker_away: list[int]) -> None:
    assert not messenger.tell(1)
    assert broker_away == [1]


def test_broker_is_left_alone_when_it_just_failed(broker_away: list[int]) -> None:
    assert not any(messenger.tell(pk) for pk in (1, 2, 3))
    assert broker_away == [1]


def test_broker_is_tried_again_when_it_has_rested(broker_away: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    messenger.tell(1)
    monkeypatch.setattr(messenger, "_broker_rests_until", 0.0)
    messenger.tell(2)
    assert broker_away == [1, 2]

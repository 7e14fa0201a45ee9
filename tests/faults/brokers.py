"""Points this process at a broker for one test."""

import pytest
from celery import Celery
from pytest_django import Settings

from jobs import messenger
from rewire import celery


def use_broker(url: str, settings: Settings, monkeypatch: pytest.MonkeyPatch) -> Celery:
    settings.REDIS_URL = url
    app = Celery("elsewhere")
    app.config_from_object("django.conf:settings", namespace="CELERY")
    app.conf.broker_url = url
    monkeypatch.setattr(celery, "app", app)
    monkeypatch.setattr(messenger, "_broker_rests_until", 0.0)
    return app

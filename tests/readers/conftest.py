"""The one firm whose calendars every reader is given."""

import pytest
from django.db import transaction

from tests.readers.world import World, make_world


@pytest.fixture(scope="session")
def world(django_db_setup, django_db_blocker) -> World:  # noqa: ANN001
    """Made once for all readers; nothing of it stays in the database."""
    with django_db_blocker.unblock(), transaction.atomic():
        made = make_world()
        transaction.set_rollback(True)
    return made

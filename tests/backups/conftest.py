from collections.abc import Iterator

import pytest
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder


@pytest.fixture(autouse=True)
def recorded_migrations(transactional_db: None) -> Iterator[None]:
    """The database under test is made from the models; a real one also knows which migrations made it."""
    recorder = MigrationRecorder(connection)
    recorder.ensure_schema()
    for app, name in MigrationLoader(None).disk_migrations:
        recorder.record_applied(app, name)
    yield
    with connection.schema_editor() as editor:
        editor.delete_model(recorder.Migration)

"""Triggers that mark every change of a firm's rows, so that what was made of them is known to be current or not.

Built from the models after every migrate, as the walls are. SQLite has one writer at a time and keeps one mark for each
table of a firm, always of a new number. On PostgreSQL each transaction adds one mark for each table it writes to: no
writer waits for another's, and `jobs.actions.housekeeping` takes old ones away.
"""

from collections.abc import Iterator

from django.apps import apps
from django.db import connections, models
from django.db.backends.base.base import BaseDatabaseWrapper

MARKS = "jobs_firmchange"
UNMARKED = ("AttemptCount", "Delivery", "Device", "FirmChange", "OutboxEntry", "SignInCode", "TrailEntry")
"""Models of which no page shows anything while it is kept (`jobs.web.unchanged`): they change with every sign-in, task
or message. A test holds that no kept page asks for their rows."""
VERBS = ("INSERT", "UPDATE", "DELETE")


def build_marks(*, using: str = "default", **kwargs: object) -> None:
    """Create or renew every trigger on the database `using`."""
    connection = connections[using]
    with connection.cursor() as cursor:
        tables = set(connection.introspection.table_names(cursor))
        if {MARKS, *(table for table, _ in marked_tables())} <= tables:  # not so after migrating back
            for statement in _statements(connection):
                cursor.execute(statement)


def marked_tables() -> Iterator[tuple[str, str]]:
    """(table, column that names the firm) of everything whose changes count."""
    for model in apps.get_app_config("jobs").get_models():
        if model.__name__ not in UNMARKED:
            yield model._meta.db_table, _firm_column(model)


def _firm_column(model: type[models.Model]) -> str:
    return "id" if model.__name__ == "Firm" else model._meta.get_field("firm").column


def _statements(connection: BaseDatabaseWrapper) -> Iterator[str]:
    if connection.vendor == "postgresql":
        yield _POSTGRES_FUNCTION.format(name="mark_firm", column="firm_id")
        yield _POSTGRES_FUNCTION.format(name="mark_firm_itself", column="id")
        for table, column in marked_tables():
            yield f"DROP TRIGGER IF EXISTS mark_change ON {table}"
            yield (
                f"CREATE TRIGGER mark_change AFTER {' OR '.join(VERBS)} ON {table} FOR EACH ROW "
                f"EXECUTE FUNCTION {'mark_firm_itself' if column == 'id' else 'mark_firm'}()"
            )
    else:
        for table, column in marked_tables():
            for verb in VERBS:
                yield from _sqlite_mark(table, column, verb)


def _sqlite_mark(table: str, column: str, verb: str) -> Iterator[str]:
    name, row = f"{table}_mark_{verb.lower()}", "OLD" if verb == "DELETE" else "NEW"
    yield f"DROP TRIGGER IF EXISTS {name}"
    yield (
        f"CREATE TRIGGER {name} AFTER {verb} ON {table} WHEN {row}.{column} IS NOT NULL BEGIN "
        f"DELETE FROM {MARKS} WHERE firm_number = {row}.{column} AND table_name = '{table}'; "
        f"INSERT INTO {MARKS} (firm_number, table_name) VALUES ({row}.{column}, '{table}'); END"
    )


# The setting lasts as long as the mark: a savepoint that is rolled back takes both.
_POSTGRES_FUNCTION = """
    CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$
    DECLARE firm bigint; marked text := 'rewire.marked_' || TG_TABLE_NAME;
    BEGIN
        IF TG_OP = 'DELETE' THEN firm := OLD.{column}; ELSE firm := NEW.{column}; END IF;
        IF firm IS NULL OR current_setting(marked, true) = firm::text THEN RETURN NULL; END IF;
        INSERT INTO jobs_firmchange (firm_number, table_name) VALUES (firm, TG_TABLE_NAME);
        PERFORM set_config(marked, firm::text, true);
        RETURN NULL;
    END $$
    """

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
TICKED = {"jobs_roomtask": ("done_share", "not_needed", "done_by_id", "done_at")}
"""Columns that every tick on site changes. They have a mark of their own, so that what joins the table and asks for none
of them stands through ticks."""


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


def ticked_mark(table: str) -> str:
    return f"{table}_ticked"


def _steady_columns(table: str) -> list[str]:
    (model,) = (model for model in apps.get_app_config("jobs").get_models() if model._meta.db_table == table)
    return [field.column for field in model._meta.concrete_fields if field.column not in TICKED[table]]


def _updates(table: str) -> dict[str, str]:
    """Mark → the update that leaves it."""
    if table not in TICKED:
        return {table: "UPDATE"}
    columns = {table: _steady_columns(table), ticked_mark(table): TICKED[table]}
    return {mark: f"UPDATE OF {', '.join(of_mark)}" for mark, of_mark in columns.items()}


def _firm_column(model: type[models.Model]) -> str:
    return "id" if model.__name__ == "Firm" else model._meta.get_field("firm").column


def _statements(connection: BaseDatabaseWrapper) -> Iterator[str]:
    if connection.vendor == "postgresql":
        yield _POSTGRES_FUNCTION.format(name="mark_firm", column="firm_id")
        yield _POSTGRES_FUNCTION.format(name="mark_firm_itself", column="id")
        for table, column in marked_tables():
            for mark, update in _updates(table).items():
                yield from _postgres_mark(table, column, mark, f"INSERT OR DELETE OR {update}" if mark == table else update)
    else:
        for table, column in marked_tables():
            for mark, update in _updates(table).items():
                for change in ("INSERT", "DELETE", update) if mark == table else (update,):
                    yield from _sqlite_mark(table, column, mark, change)


def _postgres_mark(table: str, column: str, mark: str, change: str) -> Iterator[str]:
    name = "mark_change" if mark == table else "mark_tick"
    yield f"DROP TRIGGER IF EXISTS {name} ON {table}"
    yield (
        f"CREATE TRIGGER {name} AFTER {change} ON {table} FOR EACH ROW "
        f"EXECUTE FUNCTION {'mark_firm_itself' if column == 'id' else 'mark_firm'}('{mark}')"
    )


def _sqlite_mark(table: str, column: str, mark: str, change: str) -> Iterator[str]:
    name, row = f"{mark}_mark_{change.split()[0].lower()}", "OLD" if change == "DELETE" else "NEW"
    yield f"DROP TRIGGER IF EXISTS {name}"
    yield (
        f"CREATE TRIGGER {name} AFTER {change} ON {table} WHEN {row}.{column} IS NOT NULL BEGIN "
        f"DELETE FROM {MARKS} WHERE firm_number = {row}.{column} AND table_name = '{mark}'; "
        f"INSERT INTO {MARKS} (firm_number, table_name) VALUES ({row}.{column}, '{mark}'); END"
    )


# The setting lasts as long as the mark: a savepoint that is rolled back takes both.
_POSTGRES_FUNCTION = """
    CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$
    DECLARE firm bigint; marked text := 'rewire.marked_' || TG_ARGV[0];
    BEGIN
        IF TG_OP = 'DELETE' THEN firm := OLD.{column}; ELSE firm := NEW.{column}; END IF;
        IF firm IS NULL OR current_setting(marked, true) = firm::text THEN RETURN NULL; END IF;
        INSERT INTO jobs_firmchange (firm_number, table_name) VALUES (firm, TG_ARGV[0]);
        PERFORM set_config(marked, firm::text, true);
        RETURN NULL;
    END $$
    """

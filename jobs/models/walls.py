"""Walls the database itself holds: no row points at another firm's row, and what is added stays as it was added.

Triggers are built from the models after every migrate, so a new foreign key is walled without further work.
"""

from collections.abc import Iterator

from django.apps import apps
from django.db import connections, models
from django.db.backends.base.base import BaseDatabaseWrapper

APPEND_ONLY = ("StockMove", "SiteOperation", "Notice", "Delivery", "GoAhead", "Price", "VanTick", "MailAnswer",
               "LengthCorrection", "CatalogueVersion", "TrailEntry", "DeadlineMark", "VariationAnswer", "DayMessage", "Reading",
               "PowerOverride")
"""Models whose rows are added and never edited (a firm that is deleted takes its rows with it)."""
NEVER_DELETED = ("TrailEntry",)
"""Of these, models whose rows stay, except while their firm forgets somebody who asked for it (`Firm.is_forgetting`)."""


def build_walls(*, using: str = "default", **kwargs: object) -> None:
    """Create or renew every trigger on the database `using`."""
    connection = connections[using]
    with connection.cursor() as cursor:
        if _is_whole(connection.introspection.table_names(cursor)):
            for statement in _statements(connection):
                cursor.execute(statement)


def drop_walls(*, using: str = "default", **kwargs: object) -> None:
    """Before a migration: SQLite cannot rebuild a table while a trigger elsewhere names it."""
    connection = connections[using]
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        for (name,) in cursor.fetchall():
            cursor.execute(f'DROP TRIGGER "{name}"')


def _is_whole(tables: list[str]) -> bool:
    """Whether every model has its table: not so after migrating back to an earlier state."""
    return all(model._meta.db_table in tables for model in apps.get_app_config("jobs").get_models())


def walled_columns() -> Iterator[tuple[str, str, str]]:
    """(table, column, table pointed at) for each foreign key between two firm-owned models."""
    for model in apps.get_app_config("jobs").get_models():
        if not _has_firm(model):
            continue
        for field in model._meta.concrete_fields:
            if isinstance(field, models.ForeignKey) and _has_firm(field.related_model):
                yield model._meta.db_table, field.column, field.related_model._meta.db_table


def _has_firm(model: type[models.Model]) -> bool:
    return any(field.name == "firm" for field in model._meta.concrete_fields)


def _statements(connection: BaseDatabaseWrapper) -> Iterator[str]:
    added_only = [apps.get_model("jobs", name) for name in APPEND_ONLY]
    kept = [apps.get_model("jobs", name)._meta.db_table for name in NEVER_DELETED]
    if connection.vendor == "postgresql":
        yield from _POSTGRES_FUNCTIONS
        for table, column, target in walled_columns():
            yield from _postgres_trigger(f"wall_{column}", table, f"hold_firm_wall('{column}', '{target}')")
        for model in added_only:
            emptied = ", ".join(f"'{column}'" for column in _emptied_columns(model))
            yield from _postgres_trigger("added_only", model._meta.db_table, f"hold_added_only({emptied})", "UPDATE")
        for table in kept:
            yield from _postgres_trigger("kept", table, "hold_kept()", "DELETE")
    else:
        for table, column, target in walled_columns():
            yield from _sqlite_wall(table, column, target)
        for model in added_only:
            yield from _sqlite_added_only(model)
        for table in kept:
            yield from _sqlite_kept(table)


def _emptied_columns(model: type[models.Model]) -> list[str]:
    """Pointers that Django empties when their target is deleted: the one change a kept row may see."""
    return [
        field.column
        for field in model._meta.concrete_fields
        if isinstance(field, models.ForeignKey) and field.remote_field.on_delete is models.SET_NULL
    ]


def _sqlite_added_only(model: type[models.Model]) -> Iterator[str]:
    table, emptied = model._meta.db_table, _emptied_columns(model)
    kept = [field.column for field in model._meta.concrete_fields if field.column not in emptied]
    edited = " OR ".join(f'NEW."{column}" IS NOT OLD."{column}"' for column in kept)
    yield f"DROP TRIGGER IF EXISTS {table}_added_only"
    yield (
        f"CREATE TRIGGER {table}_added_only BEFORE UPDATE ON {table} WHEN {edited} "
        f"BEGIN SELECT RAISE(ABORT, '{table} rows are added, never edited'); END"
    )


def _sqlite_kept(table: str) -> Iterator[str]:
    yield f"DROP TRIGGER IF EXISTS {table}_kept"
    yield (
        f"CREATE TRIGGER {table}_kept BEFORE DELETE ON {table} "
        f"WHEN EXISTS (SELECT 1 FROM jobs_firm WHERE id = OLD.firm_id AND NOT is_forgetting) "
        f"BEGIN SELECT RAISE(ABORT, '{table} rows are kept, never deleted'); END"
    )


def _sqlite_wall(table: str, column: str, target: str) -> Iterator[str]:
    for verb in ("INSERT", "UPDATE"):
        name = f"{table}_{column}_wall_{verb.lower()}"
        yield f"DROP TRIGGER IF EXISTS {name}"
        yield (
            f'CREATE TRIGGER {name} BEFORE {verb} ON {table} WHEN NEW."{column}" IS NOT NULL AND NEW.firm_id IS NOT '
            f'(SELECT firm_id FROM {target} WHERE id = NEW."{column}") '
            f"BEGIN SELECT RAISE(ABORT, '{table}.{column} points at another firm'); END"
        )


def _postgres_trigger(name: str, table: str, call: str, verbs: str = "INSERT OR UPDATE") -> Iterator[str]:
    yield f"DROP TRIGGER IF EXISTS {name} ON {table}"
    yield f"CREATE TRIGGER {name} BEFORE {verbs} ON {table} FOR EACH ROW EXECUTE FUNCTION {call}"


_POSTGRES_FUNCTIONS = (
    """
    CREATE OR REPLACE FUNCTION hold_firm_wall() RETURNS trigger LANGUAGE plpgsql AS $$
    DECLARE pointed bigint; owner bigint; mine bigint;
    BEGIN
        pointed := (to_jsonb(NEW) ->> TG_ARGV[0])::bigint;
        mine := (to_jsonb(NEW) ->> 'firm_id')::bigint;
        IF pointed IS NULL THEN RETURN NEW; END IF;
        EXECUTE format('SELECT firm_id FROM %I WHERE id = $1', TG_ARGV[1]) INTO owner USING pointed;
        IF owner IS DISTINCT FROM mine THEN
            RAISE EXCEPTION '%.% points at another firm', TG_TABLE_NAME, TG_ARGV[0]
                USING ERRCODE = 'integrity_constraint_violation';
        END IF;
        RETURN NEW;
    END $$
    """,
    """
    CREATE OR REPLACE FUNCTION hold_added_only() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
        IF to_jsonb(NEW) - TG_ARGV::text[] = to_jsonb(OLD) - TG_ARGV::text[] THEN RETURN NEW; END IF;
        RAISE EXCEPTION '% rows are added, never edited', TG_TABLE_NAME
            USING ERRCODE = 'integrity_constraint_violation';
    END $$
    """,
    """
    CREATE OR REPLACE FUNCTION hold_kept() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
        IF EXISTS (SELECT 1 FROM jobs_firm WHERE id = OLD.firm_id AND NOT is_forgetting) THEN
            RAISE EXCEPTION '% rows are kept, never deleted', TG_TABLE_NAME
                USING ERRCODE = 'integrity_constraint_violation';
        END IF;
        RETURN OLD;
    END $$
    """,
)

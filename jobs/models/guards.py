"""Guards that PostgreSQL itself holds: while a firm is named, its rows are the only ones shown or taken.

Policies are built from the models after every migrate, as the walls are. Who names the firm: `rewire.named_firm`. While
none is named every row is there, which signing in, looking up a link's token, work for all firms, commands, migrations
and backups need. Rows of no firm (work done for all, whoever runs the installation) are there for everyone.

The tables' owner is held as well (FORCE), superusers and roles with BYPASSRLS never are: `jobs.checks` warns of them.
"""

from collections.abc import Iterator

from django.apps import apps
from django.db import connections, models, transaction

UNGUARDED = ("AttemptCount",)
"""Models of no firm: what is counted of somebody who has not signed in yet."""
POLICY = "of_named_firm"
"""Another name when it says something else, and a migration that drops the old one."""
_NAMED = "(SELECT nullif(current_setting('rewire.firm', true), '')::bigint)"
"""As a query within, so that it is asked once and not for each row."""
_HELD = f"""
    SELECT relname FROM pg_class JOIN pg_policy ON polrelid = pg_class.oid
    WHERE polname = '{POLICY}' AND relrowsecurity AND relforcerowsecurity AND relnamespace = current_schema()::regnamespace
"""  # noqa: S608


def build_guards(*, using: str = "default", **kwargs: object) -> None:
    """Create on the database `using` whatever is missing; a guard that stands is not touched, and its table not locked."""
    connection = connections[using]
    if connection.vendor != "postgresql":
        return
    with connection.cursor() as cursor:
        cursor.execute(_HELD)
        held = {table for (table,) in cursor.fetchall()}
        there = set(connection.introspection.table_names(cursor))  # fewer after migrating back to an earlier state
        for table, column in guarded_tables():
            if table in there - held:
                with transaction.atomic(using=using):
                    for statement in _statements(table, column):
                        cursor.execute(statement)


def guarded_tables() -> Iterator[tuple[str, str]]:
    """(table, column that says whose row it is) of every model but the unguarded."""
    for model in apps.get_app_config("jobs").get_models():
        if model.__name__ not in UNGUARDED:
            yield model._meta.db_table, _firm_column(model)


def _firm_column(model: type[models.Model]) -> str:
    if model.__name__ == "Firm":
        return "id"
    return next(field.column for field in model._meta.concrete_fields if field.name in {"firm", "firm_number"})


def _statements(table: str, column: str) -> Iterator[str]:
    # As one value rather than with OR: the planner takes an OR for a filter that hardly any row passes.
    yield f"DROP POLICY IF EXISTS {POLICY} ON {table}"
    yield f"CREATE POLICY {POLICY} ON {table} USING (coalesce({column} = {_NAMED}, true))"
    yield f"ALTER TABLE {table} ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY"

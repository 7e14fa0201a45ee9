"""Many firms like one: every row of a firm copied in the database, with its pointers shifted to the copies."""

from collections.abc import Iterator

from django.apps import apps
from django.db import connection, models, transaction

from jobs.management.bench import BenchError
from jobs.models import Device, Firm, OutboxEntry, SecretLink, SignInCode, User
from jobs.models.change_marks import build_marks
from jobs.models.walls import build_walls, drop_walls

APART = 1_000_000
"""Between a row's key and that of its copy in the next firm: more than any key of the first firm."""
NOT_COPIED = {Device, OutboxEntry, SecretLink, SignInCode}
"""What signs in, opens or is due belongs to one firm alone."""
NUMBERS = "WITH RECURSIVE n(k) AS (SELECT %s UNION ALL SELECT k + 1 FROM n WHERE k < %s)"


def copy_firm(firm: Firm, first: int, last: int) -> None:
    """Copies number `first` to `last` of the firm, on SQLite; the first firm's own rows stay as they are."""
    if connection.vendor != "sqlite":
        raise BenchError("Firms are copied on SQLite only.")
    drop_walls()
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("PRAGMA defer_foreign_keys = ON")
        for model in _copied():
            cursor.execute(_statement(model), [first, last, firm.pk])
    build_walls()
    build_marks()


def _copied() -> Iterator[type[models.Model]]:
    for model in apps.get_app_config("jobs").get_models():
        if model is Firm or (_has_firm(model) and model not in NOT_COPIED):
            yield model


def _has_firm(model: type[models.Model]) -> bool:
    return any(field.name == "firm" for field in model._meta.concrete_fields)


def _statement(model: type[models.Model]) -> str:
    fields = model._meta.concrete_fields
    columns = ", ".join(f'"{field.column}"' for field in fields)
    values = ", ".join(_value(field) for field in fields)
    owner = "id" if model is Firm else "firm_id"
    table = model._meta.db_table
    return f'{NUMBERS} INSERT INTO "{table}" ({columns}) SELECT {values} FROM "{table}", n WHERE "{owner}" = %s'  # noqa: S608


def _value(field: models.Field) -> str:
    column = f'"{field.column}"'
    if field.primary_key or (field.is_relation and _is_shifted(field.related_model)):
        return f"{column} + n.k * {APART}"
    if isinstance(field, models.UUIDField):
        return "lower(hex(randomblob(16)))"
    if field.unique or (field.model is User and field.name == "username"):
        return f"{column} || '-' || n.k"
    return column


def _is_shifted(model: type[models.Model]) -> bool:
    return model is Firm or model is User or (_has_firm(model) and model not in NOT_COPIED)

"""A firm's rows as an archive holds them: which tables, in which order, and each row as plain values.

Everything follows from the models themselves, so that a new one is in the archive without further work.
"""

from collections.abc import Iterable, Iterator
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from functools import cache
from uuid import UUID

from django.apps import apps
from django.db import models
from django.db.migrations.loader import MigrationLoader

from jobs.models import Firm

FORMAT = 1
"""Of the archive's layout; an archive of a higher one is from a newer rewire."""
LEFT_OUT = ("OutboxEntry", "SignInCode", "Device", "FirmArchive")
"""Background work, what lets phones in, and archives themselves."""
SECRETS = {"User": ("password",), "SecretLink": ("token_hash",)}
"""Columns that no archive holds."""
MANIFEST, README = "manifest.json", "README.txt"

Model = type[models.Model]


@cache
def list_tables() -> list[list[Model]]:
    """Models in the order in which their rows can be added; those that point at each other are in one group."""
    waiting = [Firm, *(model for model in apps.get_app_config("jobs").get_models() if _is_carried(model))]
    groups: list[list[Model]] = []
    placed: set[Model] = set()
    while waiting:
        ready = [model for model in waiting if not (_pointed_at(model) & set(waiting)) - {model}]
        groups += [[model] for model in ready] or [list(waiting)]
        placed |= set(ready or waiting)
        waiting = [model for model in waiting if model not in placed]
    return groups


def find_table(name: str) -> Model | None:
    return next((model for group in list_tables() for model in group if model.__name__ == name), None)


def list_fields(model: Model) -> list[models.Field]:
    """What an archive says of each row."""
    secret = SECRETS.get(model.__name__, ())
    return [field for field in model._meta.concrete_fields if field.name not in secret]


def list_pointers(model: Model) -> list[models.Field]:
    """Foreign keys to rows that an archive holds."""
    carried = {table for group in list_tables() for table in group}
    return [field for field in model._meta.concrete_fields if field.is_relation and field.related_model in carried]


def list_file_fields(model: Model) -> list[models.FileField]:
    return [field for field in model._meta.concrete_fields if isinstance(field, models.FileField)]


def iterate_rows(firm: Firm, model: Model) -> Iterator[dict[str, object]]:
    """The firm's rows by number, each as plain values by field."""
    own = {"pk": firm.pk} if model is Firm else {"firm_id": firm.pk}
    fields = list_fields(model)
    for row in model._base_manager.filter(**own).order_by("pk").iterator():
        yield {field.name: _plain(field.value_from_object(row)) for field in fields}


def list_migrations() -> list[str]:
    """The changes of the database this program knows of the firm's own tables."""
    return sorted(name for app, name in MigrationLoader(None).disk_migrations if app == "jobs")


def stored_names(model: Model, rows: Iterable[dict[str, object]]) -> Iterator[str]:
    """Files the rows name."""
    names = [field.name for field in list_file_fields(model)]
    return (str(row[name]) for row in rows for name in names if row[name])


def _is_carried(model: Model) -> bool:
    return model.__name__ not in LEFT_OUT and any(field.name == "firm" for field in model._meta.concrete_fields)


def _pointed_at(model: Model) -> set[Model]:
    return {field.related_model for field in model._meta.concrete_fields if field.is_relation}


def _plain(value: object) -> object:
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, Decimal | UUID | timedelta | models.fields.files.FieldFile):
        return str(value)
    if value is None or isinstance(value, bool | int | str | list | dict):
        return value
    raise TypeError(f"An archive has no way to write {type(value).__name__}.")

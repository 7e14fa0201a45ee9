"""Many firms like one: every row of a firm copied in the database, with its pointers shifted to the copies."""

from collections.abc import Iterator

from django.apps import apps
from django.db import models

from jobs.management.bench.copying import APART, NUMBERS, in_one_go, new_uuid, without_triggers
from jobs.models import Device, Firm, OutboxEntry, SecretLink, SignInCode, User

AT_A_TIME = 50
"""Firms; a transaction of all of them would not fit into memory."""
NOT_COPIED = {Device, OutboxEntry, SecretLink, SignInCode}
"""What signs in, opens or is due belongs to one firm alone."""


def copy_firm(firm: Firm, first: int, last: int) -> None:
    """Copies number `first` to `last` of the firm; the first firm's own rows stay as they are."""
    with without_triggers():
        for number in range(first, last + 1, AT_A_TIME):
            with in_one_go() as cursor:
                for model in _copied():
                    cursor.execute(_statement(model), [number, min(number + AT_A_TIME - 1, last), firm.pk])


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
        return new_uuid()
    if field.unique or (field.model is User and field.name == "username"):
        return f"{column} || '-' || n.k"
    return column


def _is_shifted(model: type[models.Model]) -> bool:
    return model is Firm or model is User or (_has_firm(model) and model not in NOT_COPIED)

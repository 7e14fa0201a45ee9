"""A firm whose every text tries to leave its place: as markup, as an attribute, as a formula, as a header."""

from uuid import uuid4

from django.db import models

from jobs.models import Firm
from tests.factories import make_firm
from tests.rows import Rows

TEXT = (models.CharField, models.TextField)
MARK = "<script>\"onx=';"
"""Short, since the shortest texts hold a dozen letters."""

MEANT = {
    "token_hash", "code_hash", "session_key_hash", "password", "zone", "holiday_region", "task", "sha256", "body_hash",
    "plaster_system", "system", "circuit_kind", "device", "status", "deadline", "kind", "answer", "key", "before", "after",
}
"""Texts that the program writes itself and reads back."""


class HostileRows(Rows):
    """Rows whose texts all begin with `mark`, those too that may be left blank."""

    def __init__(self, mark: str = MARK) -> None:
        self._mark = mark
        firm = make_firm(f"{mark} firm")
        Firm.objects.filter(pk=firm.pk).update(address=mark, phone=mark, email=f"{mark}@x.example"[:254])
        super().__init__(firm)

    def _fields(self, model: type[models.Model]) -> dict[str, object]:
        blank = {field.name: self._hostile(field) for field in model._meta.concrete_fields if _is_free_text(field)}
        return blank | {
            name: self._hostile(model._meta.get_field(name)) if name in blank and isinstance(value, str) else value
            for name, value in super()._fields(model).items()
        }

    def _hostile(self, field: models.Field) -> str:
        return f"{self._mark}{uuid4().hex[:6]}"[: field.max_length or 60]


def _is_free_text(field: models.Field) -> bool:
    return isinstance(field, TEXT) and not isinstance(field, models.FileField) and not field.choices and field.name not in MEANT

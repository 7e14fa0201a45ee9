"""One row of any model, its needed fields filled in, its pointers made as needed: for tests that go over all models."""

import uuid
from collections.abc import Callable
from datetime import time, timedelta
from decimal import Decimal

from django.core.files.base import ContentFile
from django.db import models
from django.utils import timezone

from jobs.core.stages import Trade
from jobs.models import (
    AccessoryRange,
    CalendarEntry,
    Circuit,
    Contact,
    DayMessage,
    Dependency,
    Device,
    Firm,
    FirmArchive,
    FirmChange,
    Handover,
    HandoverPdf,
    HeldBack,
    Instrument,
    InvitationMessage,
    LabourNorm,
    Location,
    Notice,
    OutboxEntry,
    Person,
    Photo,
    Pin,
    PointKind,
    Reading,
    SecretLink,
    Span,
    StockMove,
    Swap,
    User,
    Visit,
    WorkPackage,
)
from tests.factories import NOW, TODAY, make_crew_user, make_location

SIMPLE = {
    models.DateTimeField: NOW, models.DateField: TODAY, models.TimeField: time(8), models.DecimalField: Decimal(1),
    models.JSONField: {}, models.BooleanField: False, models.UUIDField: None,
}


class Rows:
    """Rows of one firm, one of each model, made when they are first asked for."""

    def __init__(self, firm: Firm) -> None:
        self.firm = firm
        self._made = {Firm: firm}

    def __getitem__(self, model: type[models.Model]) -> models.Model:
        if model not in self._made:
            self._made[model] = model.objects.create(**self._fields(model))
        return self._made[model]

    def keep(self, row: models.Model) -> None:
        """As the one of its model."""
        self._made[type(row)] = row

    def _fields(self, model: type[models.Model]) -> dict[str, object]:
        fields = {field.name: self._value(field) for field in model._meta.concrete_fields if _is_needed(field)}
        return fields | {name: make(self) for name, make in SPECIAL.get(model, {}).items()}

    def _value(self, field: models.Field) -> object:
        if isinstance(field, models.ForeignKey):
            return self.firm if field.name == "firm" else self[field.related_model]
        if field.choices:
            return field.choices[0][0]
        for kind, value in SIMPLE.items():
            if isinstance(field, kind):
                return uuid.uuid4() if kind is models.UUIDField else value
        if isinstance(field, models.IntegerField):
            return 1
        return f"{field.name}-{uuid.uuid4().hex[:8]}@rows.example"[: field.max_length or 60]


def _is_needed(field: models.Field) -> bool:
    return not (field.primary_key or field.null or field.has_default() or field.blank)


SPECIAL: dict[type[models.Model], dict[str, Callable[[Rows], object]]] = {
    CalendarEntry: {"ends_at": lambda rows: NOW + timedelta(hours=4), "visit": lambda rows: rows[Visit]},
    DayMessage: {"person": lambda rows: rows[Person]},
    Contact: {"trade": lambda rows: Trade.PLASTERER},
    Device: {"user": lambda rows: make_crew_user(rows[Person])},
    Dependency: {"before_package": lambda rows: rows[WorkPackage], "after_visit": lambda rows: rows[Visit]},
    FirmArchive: {
        "made_at": lambda rows: NOW, "expires_at": lambda rows: timezone.now() + timedelta(days=7),
        "file": lambda rows: ContentFile(b"an archive", "firm.zip"),
    },
    FirmChange: {"firm_number": lambda rows: rows.firm.pk},
    Handover: {"is_shown_to_customer": lambda rows: True},
    HandoverPdf: {"made_at": lambda rows: NOW, "file": lambda rows: ContentFile(b"%PDF-1.7", "pack.pdf")},
    Instrument: {"calibrated_on": lambda rows: TODAY - timedelta(days=1)},
    InvitationMessage: {"ends_at": lambda rows: NOW + timedelta(hours=4)},
    LabourNorm: {"per": lambda rows: LabourNorm.Per.POINT, "point_kind": lambda rows: rows[PointKind]},
    Location: {"kind": lambda rows: Location.Kind.UNIT},
    HeldBack: {"contact": lambda rows: rows[Contact]},
    Notice: {"contact": lambda rows: rows[Contact]},
    OutboxEntry: {"firm": lambda rows: rows.firm, "state": lambda rows: OutboxEntry.State.DEAD},
    Photo: {
        "image": lambda rows: ContentFile(b"a wall", "wall.jpg"), "thumbnail": lambda rows: ContentFile(b"a wall", "small.jpg"),
        "is_for_customer": lambda rows: True,
    },
    Pin: {"package": lambda rows: rows[WorkPackage]},
    Reading: {"circuit": lambda rows: rows[Circuit], "when_tested": lambda rows: "end"},
    SecretLink: {"purpose": lambda rows: SecretLink.Purpose.TRADE_PAGE, "contact": lambda rows: rows[Contact]},
    Span: {"package": lambda rows: rows[WorkPackage]},
    StockMove: {"pieces": lambda rows: Decimal(1), "moved_to": lambda rows: make_location(rows.firm)},
    Swap: {"accessory_range": lambda rows: rows[AccessoryRange]},
    User: {"firm": lambda rows: rows.firm},
}
"""What a model's constraints ask for beyond its needed fields."""

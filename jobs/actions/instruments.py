"""Instruments: what the firm tests with. None is deleted, since readings name it; one no longer used is retired."""

from collections.abc import Mapping

from django.core.exceptions import ValidationError
from django.db import transaction

from jobs.actions.permission import Refused, require_office
from jobs.models import Firm, Instrument, User


@transaction.atomic
def add_instrument(*, firm: Firm, details: Mapping[str, object], by: User) -> Instrument:
    """`details` are fields of Instrument."""
    require_office(by, firm)
    return _save(Instrument(firm=firm), details)


@transaction.atomic
def edit_instrument(*, instrument: Instrument, details: Mapping[str, object], by: User) -> Instrument:
    """Readings keep the calibration they were taken under."""
    require_office(by, instrument)
    return _save(Instrument.objects.select_for_update().get(pk=instrument.pk, firm_id=by.firm_id), details)


def _save(instrument: Instrument, details: Mapping[str, object]) -> Instrument:
    for field, value in details.items():
        setattr(instrument, field, value)
    try:
        instrument.full_clean()
    except ValidationError as wrong:
        field, words = next(iter(wrong.message_dict.items()))
        raise Refused(words[0], field=field) from wrong
    instrument.save()
    return instrument

"""What a list says while nothing is chosen in it."""

from collections.abc import Mapping

from django import forms
from django.db.models.fields import BLANK_CHOICE_DASH

DASHES = BLANK_CHOICE_DASH[0][1]


def name_blanks(fields: Mapping[str, forms.Field], *, optional: str = "none") -> None:
    """Says "choose" where something must be chosen and `optional` elsewhere, instead of a row of dashes."""
    for field in fields.values():
        words = "choose" if field.required else optional
        if isinstance(field, forms.ModelChoiceField):
            field.empty_label = words if field.empty_label == DASHES else field.empty_label
        elif isinstance(field, forms.ChoiceField):
            field.choices = [("", words) if choice == BLANK_CHOICE_DASH[0] else choice for choice in field.choices]

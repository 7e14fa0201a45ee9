"""Forms for the rows of the catalogue. Choices of items and points are the firm's own."""

from decimal import Decimal

from django import forms

from jobs.core.stages import WORKED_STAGES, CircuitKind
from jobs.models import (
    AccessoryRange,
    ChecklistLine,
    CircuitRecipe,
    DependencyRule,
    DryingRule,
    Firm,
    FirmOwned,
    Item,
    LabourNorm,
    PointKind,
    RecipeLine,
    Swap,
    VisitKind,
)
from jobs.web.forms.blanks import name_blanks

WORKED = [(stage.value, stage.label) for stage in WORKED_STAGES]


class RowForm(forms.ModelForm):
    """A row of the catalogue of `firm`."""

    blank = "any"
    """What nothing chosen means in it."""

    def __init__(self, *args: object, firm: Firm, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, forms.ModelChoiceField):
                field.queryset = field.queryset.filter(firm=firm)
            if isinstance(field, (forms.DecimalField, forms.IntegerField)):
                field.widget.attrs["min"] = "0"
        if "stage" in self.fields and not isinstance(self, CheckForm):
            self.fields["stage"].choices = WORKED
        name_blanks(self.fields, optional=self.blank)

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        for name, value in list(cleaned.items()):
            if isinstance(value, (Decimal, int)) and value < 0:
                self.add_error(name, "Give a number of 0 or more.")
        return cleaned


class PointKindForm(RowForm):
    circuit_kind = forms.ChoiceField(
        label="Usual circuit", required=False, choices=[("", "none"), *((kind.value, kind.label) for kind in CircuitKind)]
    )

    class Meta:
        model = PointKind
        fields = ["name", "circuit_kind", "cable_ends", "places", "run_metres", "is_ceiling"]
        labels = {"cable_ends": "Cable ends", "places": "Places", "run_metres": "Own run, m", "is_ceiling": "On a ceiling"}


class RecipeForm(RowForm):
    class Meta:
        model = RecipeLine
        fields = ["point_kind", "item", "stage", "wall_kind", "quantity"]
        labels = {"item": "Material", "point_kind": "Point", "wall_kind": "Wall"}

    def clean_quantity(self) -> Decimal:
        if self.cleaned_data["quantity"] <= 0:
            raise forms.ValidationError("Give a quantity above 0, or remove the line.")
        return self.cleaned_data["quantity"]


class PointHoursForm(RowForm):
    class Meta:
        model = LabourNorm
        fields = ["task", "point_kind", "stage", "wall_kind", "labour_hours", "low_hours", "high_hours"]
        labels = {
            "point_kind": "Point", "wall_kind": "Wall", "labour_hours": "Hours", "low_hours": "Usually from",
            "high_hours": "Usually to",
        }

    def clean(self) -> dict[str, object]:
        hours = super().clean()
        low, high = hours.get("low_hours"), hours.get("high_hours")
        if low is not None and high is not None and high < low:
            self.add_error("high_hours", "The range ends before it begins.")
        return hours


class HoursForm(PointHoursForm):
    per = forms.ChoiceField(
        label="Counted for", choices=[choice for choice in LabourNorm.Per.choices if choice[0] != LabourNorm.Per.POINT]
    )

    class Meta(PointHoursForm.Meta):
        fields = ["task", "per", "stage", "room_kind", "wall_kind", "floor_kind", "labour_hours", "low_hours", "high_hours"]
        labels = PointHoursForm.Meta.labels | {
            "room_kind": "Room", "floor_kind": "Floor",
        }


class CircuitRecipeForm(RowForm):
    blank = "none"

    class Meta:
        model = CircuitRecipe
        fields = [
            "circuit_kind", "cable", "clip", "fire_clip", "device", "board_run_metres", "between_metres", "drop_metres",
            "board_leg_metres",
        ]
        labels = {
            "board_run_metres": "Board to first point, m", "between_metres": "Point to point, m", "drop_metres": "Drop, m",
            "board_leg_metres": "Leg at the board, m",
        }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cable"].queryset = self.fields["cable"].queryset.filter(unit=Item.Unit.METRE)
        for name in ("clip", "fire_clip", "device"):
            self.fields[name].queryset = self.fields[name].queryset.filter(unit=Item.Unit.PIECE)


class AccessoryRangeForm(RowForm):
    class Meta:
        model = AccessoryRange
        fields = ["name"]
        labels = {"name": "Range"}


class SwapForm(RowForm):
    blank = "none"

    class Meta:
        model = Swap
        fields = ["accessory_range", "drop_cover", "in_place_of", "item", "quantity"]
        labels = {
            "accessory_range": "With the range", "drop_cover": "Or with drops in", "in_place_of": "In place of",
            "item": "Take", "quantity": "For each (0 = none)",
        }

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        if bool(cleaned.get("accessory_range")) == bool(cleaned.get("drop_cover")):
            self.add_error("accessory_range", "Choose a range or a cover of drops, one of the two.")
        return cleaned


class CheckForm(RowForm):
    class Meta:
        model = ChecklistLine
        fields = ["text", "stage", "room_kind", "is_hold_point", "position"]
        labels = {"text": "Check", "room_kind": "Room", "is_hold_point": "Hold point"}


class VisitKindForm(RowForm):
    class Meta:
        model = VisitKind
        fields = ["name", "trade", "length_days", "lead_days", "covers_up", "per_area", "is_usual"]
        labels = {
            "length_days": "Days", "lead_days": "Asked ahead, days", "covers_up": "Closes walls or ceilings",
            "per_area": "A visit for each area", "is_usual": "In every new programme",
        }

    def clean_length_days(self) -> Decimal:
        if not 0 < self.cleaned_data["length_days"] <= 100:
            raise forms.ValidationError("Give days between 0.5 and 100.")
        return self.cleaned_data["length_days"]


class WaitForm(RowForm):
    before = forms.ChoiceField(label="What comes first")
    after = forms.ChoiceField(label="What waits")

    class Meta:
        model = DependencyRule
        fields = ["before", "after", "kind", "lag_days", "lag_sessions", "waits_for_plaster", "same_area", "reason"]
        labels = {
            "kind": "When", "lag_days": "Days later", "lag_sessions": "Half days later", "reason": "Why",
            "waits_for_plaster": "When the plaster is dry", "same_area": "Area by area",
        }

    def __init__(self, *args: object, firm: Firm, **kwargs: object) -> None:
        super().__init__(*args, firm=firm, **kwargs)
        visits = VisitKind.objects.filter(firm=firm).order_by("name").values_list("code", "name")
        for name in ("before", "after"):
            self.fields[name].choices = [("Stages", WORKED), ("Visits", list(visits))]

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        if cleaned.get("before") and cleaned.get("before") == cleaned.get("after"):
            self.add_error("after", "Nothing can wait for itself.")
        return cleaned


class DryingForm(RowForm):
    class Meta:
        model = DryingRule
        fields = ["name", "minimum_days", "cold_minimum_days", "days_per_mm", "cold_days_per_mm"]
        labels = {
            "name": "Plaster", "minimum_days": "Least days", "cold_minimum_days": "Least days, cold or damp",
            "days_per_mm": "Days per mm", "cold_days_per_mm": "Days per mm, cold or damp",
        }


def form_for(row: FirmOwned | None, form: type[RowForm]) -> type[RowForm]:
    """Hours of a point and hours of a room have different fields."""
    if form is HoursForm and row is not None and row.point_kind_id:
        return PointHoursForm
    return form

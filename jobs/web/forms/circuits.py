from decimal import Decimal

from django import forms

from jobs.actions.circuits import MOST_PARTS
from jobs.core.electrics.assumed import WhatIf
from jobs.core.electrics.cables import CABLES, HOTTEST_C, MOST_GROUPED, Method
from jobs.core.electrics.circuit import DEVICE_RATINGS, Curve
from jobs.models import CircuitDesign, HouseSupply
from jobs.models.electrics import CURVES, METHODS

AS_IT_IS = ("", "as it is")
RCD_CHOICES = [("", "as surveyed"), ("0", "none"), ("10", "10 mA"), ("30", "30 mA"), ("100", "100 mA"), ("300", "300 mA")]


class SupplyForm(forms.ModelForm):
    class Meta:
        model = HouseSupply
        fields = ["earthing", "ze_ohms", "fault_kiloamps", "fuse_amps", "board_ways", "has_surge_device"]
        labels = {
            "ze_ohms": "Ze as told, Ω", "fault_kiloamps": "Greatest fault current as told, kA", "fuse_amps": "Supply fuse, A",
            "board_ways": "Ways of the consumer unit", "has_surge_device": "With a surge protective device",
        }
        help_texts = {
            "ze_ohms": "As the operator declares, or from earlier papers; blank = the most that is usual. A reading beats it",
            "fault_kiloamps": "As told; a reading beats it",
            "fuse_amps": "As its carrier says, or the network operator", "board_ways": "Beside main switch and surge device",
        }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["earthing"].choices = [("", "not known yet"), *self.fields["earthing"].choices[1:]]


class DesignForm(forms.ModelForm):
    rcd_milliamps = forms.TypedChoiceField(label="RCD", choices=RCD_CHOICES, coerce=int, empty_value=None, required=False)

    class Meta:
        model = CircuitDesign
        fields = [
            "curve", "rcd_milliamps", "rcd_type", "load_kind", "load_watts", "has_cooker_socket", "spurs",
            "longest_spur_metres", "floor_area_m2", "is_deep_or_covered",
        ]
        labels = {
            "curve": "Device curve", "rcd_type": "RCD type", "load_kind": "What it feeds", "load_watts": "Load, W",
            "has_cooker_socket": "Cooker switch with a socket in it", "spurs": "Unfused spurs",
            "longest_spur_metres": "Longest spur, m", "floor_area_m2": "Floor area served, m²",
            "is_deep_or_covered": "All of it 50 mm deep or more, or under earthed metal",
        }
        help_texts = {
            "load_watts": "Blank = assumed: lights 100 W each, else the device",
            "floor_area_m2": "Blank = that of the rooms with its points",
        }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        for name, blank in (("curve", "as surveyed"), ("rcd_type", "as surveyed"), ("load_kind", "as its kind usually does")):
            self.fields[name].choices = [("", blank), *self.fields[name].choices[1:]]


class PartForm(forms.Form):
    """A part of the route; without a method the row is not used."""

    method = forms.ChoiceField(label="Method", choices=[("", "not used"), *METHODS], required=False)
    metres = forms.DecimalField(
        label="Metres", min_value=Decimal("0.1"), max_value=2000, max_digits=6, decimal_places=1, required=False,
        help_text="Blank = the rest",
    )
    grouped = forms.IntegerField(
        label="Loaded circuits together", min_value=1, max_value=MOST_GROUPED, initial=1, required=False
    )
    is_side_by_side = forms.BooleanField(label="In one layer, side by side", required=False)
    surrounded_mm = forms.IntegerField(
        label="Wholly in insulation, mm", min_value=0, max_value=20_000, initial=0, required=False
    )
    ambient_c = forms.IntegerField(label="Air, °C", min_value=-20, max_value=HOTTEST_C, initial=30, required=False)

    def clean(self) -> dict[str, object]:
        data = super().clean()
        if data.get("metres") is not None and not data.get("method"):
            self.add_error("method", "Say how these metres lie.")
        for name, usual in (("grouped", 1), ("surrounded_mm", 0), ("ambient_c", 30)):
            if name in data and data[name] is None:
                data[name] = usual
        return data


PartFormSet = forms.formset_factory(PartForm, extra=1, max_num=MOST_PARTS, absolute_max=2 * MOST_PARTS, validate_max=True)


def list_parts(forms_of_parts: forms.BaseFormSet) -> list[dict[str, object]]:
    """The rows in use, as the action takes them."""
    return [form.cleaned_data for form in forms_of_parts if form.cleaned_data.get("method")]


class WhatIfForm(forms.Form):
    """What is tried; blank leaves as it is."""

    method = forms.ChoiceField(label="Lies by", choices=[AS_IT_IS, *METHODS], required=False)
    metres = forms.DecimalField(
        label="Length, m", min_value=Decimal("0.1"), max_value=2000, max_digits=6, decimal_places=1, required=False
    )
    rating_amps = forms.ChoiceField(
        label="Device, A", choices=[AS_IT_IS, *((f"{amps}", f"{amps} A") for amps in DEVICE_RATINGS)], required=False
    )
    curve = forms.ChoiceField(label="Curve", choices=[AS_IT_IS, *CURVES], required=False)
    live_mm2 = forms.ChoiceField(
        label="Cable", choices=[AS_IT_IS, *((f"{cable.live_mm2}", cable.name) for cable in CABLES)], required=False
    )
    grouped = forms.IntegerField(label="Loaded circuits together", min_value=1, max_value=MOST_GROUPED, required=False)

    @property
    def what_if(self) -> WhatIf:
        given = self.cleaned_data
        return WhatIf(
            method=Method(given["method"]) if given["method"] else None, metres=given["metres"],
            curve=Curve(given["curve"]) if given["curve"] else None,
            rating_amps=Decimal(given["rating_amps"]) if given["rating_amps"] else None,
            live_mm2=Decimal(given["live_mm2"]) if given["live_mm2"] else None, grouped=given["grouped"],
        )

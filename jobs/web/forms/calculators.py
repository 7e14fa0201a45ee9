"""What the calculators of the site ask for, and how each answers."""

from decimal import Decimal

from django import forms

from jobs.core.electrics.bathroom import BathPlace
from jobs.core.electrics.cables import CABLES, find_cable
from jobs.core.electrics.calculators import Answer, answer_bathroom, answer_clips, answer_ring, answer_zones
from jobs.core.electrics.zones import Visible, WallFace

MOST_MM = 20_000


def millimetres(label: str, least: int = 0, **options: object) -> forms.IntegerField:
    return forms.IntegerField(label=f"{label}, mm", min_value=least, max_value=MOST_MM, **options)


def length(label: str, **options: object) -> forms.DecimalField:
    return forms.DecimalField(
        label=f"{label}, m", min_value=0, max_value=1000, max_digits=6, decimal_places=2, **options
    )


def cable(usual: str) -> forms.ChoiceField:
    return forms.ChoiceField(label="Cable", choices=[(f"{one.live_mm2}", one.name) for one in CABLES], initial=usual)


class CalculatorForm(forms.Form):
    """The name says which calculator was asked, as one page holds them all."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, auto_id=f"{self.slug}_%s", **kwargs)


class ZonesForm(CalculatorForm):
    """From the wall's left end and from the floor."""

    slug = "zones"
    wall_length_mm = millimetres("Wall, length", 1)
    wall_height_mm = millimetres("Wall, height", 1, initial=2400)
    left_is_angle = forms.BooleanField(label="Meets a wall on the left", required=False)
    right_is_angle = forms.BooleanField(label="Meets a wall on the right", required=False)
    point_x_mm = millimetres("Middle of the point, from the left")
    point_y_mm = millimetres("Middle of the point, from the floor", initial=450)
    point_width_mm = millimetres("Width of the point", 1, initial=86, help_text="Single 86, twin 146")
    from_x_mm = millimetres("Cable starts, from the left")
    from_y_mm = millimetres("Cable starts, from the floor", initial=2400)
    to_x_mm = millimetres("Cable ends, from the left")
    to_y_mm = millimetres("Cable ends, from the floor", initial=450)
    depth_mm = millimetres("How deep it lies", initial=15)
    thickness_mm = millimetres("How thick the wall is", 1, required=False, help_text="For its other side; may stay blank")
    has_metal_cover = forms.BooleanField(label="Under earthed metal", required=False)
    has_rcd = forms.BooleanField(label="Behind a 30 mA RCD", required=False)

    def answer(self) -> Answer:
        given = self.cleaned_data
        wall = WallFace(
            given["wall_length_mm"], given["wall_height_mm"], given["left_is_angle"], given["right_is_angle"]
        )
        point = Visible("the point", given["point_x_mm"], given["point_y_mm"], given["point_width_mm"])
        return answer_zones(
            wall, point, start=(given["from_x_mm"], given["from_y_mm"]), end=(given["to_x_mm"], given["to_y_mm"]),
            depth_mm=given["depth_mm"], has_metal_cover=given["has_metal_cover"], has_rcd=given["has_rcd"],
            thickness_mm=given["thickness_mm"],
        )


class ClipsForm(CalculatorForm):
    slug = "clips"
    cable = cable("2.5")
    across_metres = length("Across", initial=Decimal(0))
    down_metres = length("Up or down", initial=Decimal(0))

    def answer(self) -> Answer:
        given = self.cleaned_data
        found = find_cable(Decimal(given["cable"]))
        return answer_clips(found, across_metres=given["across_metres"], down_metres=given["down_metres"])


class RingForm(CalculatorForm):
    slug = "ring"
    cable = cable("2.5")
    loop_metres = length("Whole loop")

    def answer(self) -> Answer:
        return answer_ring(find_cable(Decimal(self.cleaned_data["cable"])), self.cleaned_data["loop_metres"])


class BathroomForm(CalculatorForm):
    slug = "bathroom"
    has_tray = forms.BooleanField(label="There is a bath or a shower tray", required=False)
    across_mm = millimetres(
        "Across from its edge", help_text="0 above it. Without a tray: from the fixed water outlet. Round walls, not through"
    )
    height_mm = millimetres("Up from the floor")
    outlet_mm = millimetres("Height of the highest fixed outlet", required=False, help_text="Where it is above 2250 mm")
    is_inside_basin = forms.BooleanField(label="Inside the bath or tray itself", required=False)

    def answer(self) -> Answer:
        given = self.cleaned_data
        return answer_bathroom(BathPlace(
            given["across_mm"], given["height_mm"], given["has_tray"], given["is_inside_basin"], given["outlet_mm"] or 0
        ))

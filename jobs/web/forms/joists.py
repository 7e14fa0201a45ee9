from django import forms


class JoistForm(forms.Form):
    """A hole or a notch in a solid joist, in millimetres."""

    what = forms.ChoiceField(label="What", choices=[("hole", "Hole on the centre line"), ("notch", "Notch, top or bottom")])
    span_mm = forms.IntegerField(label="Span between supports, mm", min_value=500, max_value=12_000)
    depth_mm = forms.IntegerField(label="Depth of the joist, mm", min_value=50, max_value=500)
    size_mm = forms.IntegerField(label="Diameter, or depth of the notch, mm", min_value=1, max_value=500)
    place_mm = forms.IntegerField(label="From the support, mm", min_value=0, max_value=12_000)
    spacing_mm = forms.IntegerField(
        label="To the next hole, centre to centre, mm", min_value=0, max_value=12_000, required=False
    )
    gap_mm = forms.IntegerField(
        label="Between hole and notch, along the joist, mm", min_value=0, max_value=12_000, required=False
    )

    def clean(self) -> dict[str, object]:
        data = super().clean()
        span, place = data.get("span_mm"), data.get("place_mm")
        if span is not None and place is not None and place > span:
            self.add_error("place_mm", "That lies beyond the other support.")
        return data

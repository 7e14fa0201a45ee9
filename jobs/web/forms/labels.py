"""Forms of labels: which to print, and which one is looked for."""

from django import forms

from jobs.models import Firm
from jobs.web.forms.stock import PlaceChoice

LABELS_A_SHEET = 24


class SheetForm(forms.Form):
    place = PlaceChoice("In", is_source=True)
    what = forms.ChoiceField(label="Labels for", choices=[("drums", "Drums and offcuts"), ("boxes", "Boxes")])
    used = forms.IntegerField(
        label="Labels of the sheet already used", required=False, min_value=0, max_value=LABELS_A_SHEET - 1,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )

    def __init__(self, *args: object, firm: Firm, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].choose_from(firm)


class FindLabelForm(forms.Form):
    code = forms.CharField(
        label="Label, code or name", max_length=200, required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "enterkeyhint": "search"}),
    )

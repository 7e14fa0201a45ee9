from collections.abc import Iterable
from decimal import Decimal

from django import forms

from jobs.core.stages import DropCover
from jobs.core.survey_file import MOST_BYTES
from jobs.core.survey_file.opening import too_large
from jobs.models import Area, Circuit, Item, Job, PointKind, Room
from jobs.queries.survey import MOST_PER_GROUP
from jobs.web.forms.blanks import name_blanks


def metres(label: str, least: str, most: str, **options: object) -> forms.DecimalField:
    """A measure in metres to the centimetre."""
    options = {"required": False, "max_digits": 7, "decimal_places": 2} | options
    return forms.DecimalField(label=label, min_value=Decimal(least), max_value=Decimal(most), **options)


class AreaForm(forms.ModelForm):
    level = forms.IntegerField(
        label="Level", min_value=-3, max_value=20, initial=0, help_text="0 is the ground floor, 1 the first, −1 a cellar"
    )

    class Meta:
        model = Area
        fields = ["name", "level"]
        labels = {"name": "Area"}


class RoomForm(forms.ModelForm):
    length_metres = metres("Length, m", "0.1", "100")
    width_metres = metres("Width, m", "0.1", "100")
    height_metres = metres("Height, m", "0.5", "12", required=True, initial=Decimal("2.40"))
    grid_x_metres = metres("From the left, m", "-200", "200", help_text="The room’s corner on its floor’s grid")
    grid_y_metres = metres("From the front, m", "-200", "200", help_text="Any fixed corner of the floor is 0, 0")

    class Meta:
        model = Room
        fields = [
            "area", "name", "kind", "wall_kind", "floor_kind", "joists", "drop_cover", "length_metres", "width_metres",
            "height_metres", "grid_x_metres", "grid_y_metres", "notes",
        ]
        labels = {
            "name": "Room", "wall_kind": "Walls", "floor_kind": "Floor", "joists": "Joists run", "drop_cover": "Drops in",
            "notes": "Note for the crew",
        }
        widgets = {"notes": forms.Textarea(attrs={"rows": 2, "maxlength": 1000})}

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        if "instance" not in kwargs:
            kwargs.setdefault("initial", {"wall_kind": job.wall_kind})
        super().__init__(*args, **kwargs)
        self.fields["area"].queryset = Area.objects.filter(job=job)
        self.fields["drop_cover"].required = False
        self.fields["joists"].choices = [("", "not known"), *self.fields["joists"].choices[1:]]
        self.fields["area"].empty_label = None
        name_blanks(self.fields)

    def clean_drop_cover(self) -> str:
        return self.cleaned_data["drop_cover"] or DropCover.CAPPING


class CircuitForm(forms.ModelForm):
    device_rating_amps = forms.DecimalField(
        label="Rating, A", required=False, min_value=1, max_value=125, max_digits=4, decimal_places=1
    )
    cable_metres = metres("Cable, m", "0.1", "2000", help_text="Only where you measured it; else it is worked out")

    class Meta:
        model = Circuit
        fields = ["reference", "name", "kind", "cable", "device", "device_rating_amps", "cable_metres"]
        labels = {"device": "Protective device"}

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cable"].queryset = Item.objects.filter(firm_id=job.firm_id, unit=Item.Unit.METRE)
        self.fields["cable"].empty_label = "The usual one of its kind"
        name_blanks(self.fields, optional="not chosen")


class PointsForm(forms.Form):
    """A group of equal points of a room."""

    kind = forms.ModelChoiceField(PointKind.objects.none(), label="Point", empty_label=None)
    quantity = forms.IntegerField(label="Number", min_value=1, max_value=MOST_PER_GROUP, initial=1)
    circuit = forms.ModelChoiceField(Circuit.objects.none(), label="Circuit", required=False, empty_label="Not decided yet")
    label = forms.CharField(label="Where or what for", max_length=80, required=False)
    height_mm = forms.IntegerField(label="Height, mm", min_value=1, max_value=6000, required=False)

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].queryset = PointKind.objects.filter(firm_id=job.firm_id)
        self.fields["circuit"].queryset = Circuit.objects.filter(job=job)


class SurveyFileForm(forms.Form):
    survey_file = forms.FileField(
        label="Survey file", help_text="CSV or XLSX, up to 10 MB", allow_empty_file=True, max_length=None,
        widget=forms.FileInput(attrs={
            "accept": ".csv,.txt,.tsv,.xlsx,text/csv", "data-most-bytes": MOST_BYTES,
        }),
    )

    def clean_survey_file(self):
        file = self.cleaned_data["survey_file"]
        if file.size > MOST_BYTES:
            raise forms.ValidationError(too_large(file.size))
        return file


class ReplaceForm(forms.Form):
    replaces = forms.BooleanField(label="Replace the survey that is there", required=False)


class LengthForm(forms.Form):
    """The length of a circuit's own cable put right, or of a cable that branches off it."""

    branch_cable = forms.ModelChoiceField(Item.objects.none(), label="Cable", required=False)
    cable_metres = metres("Length, m", "0.1", "2000", required=True, help_text="All of this cable of the circuit, waste included")
    reason = forms.CharField(label="Why", max_length=200, help_text="For example: goes round the chimney breast")

    def __init__(self, *args: object, own: Item | None, branches: Iterable[Item], **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        cables = self.fields["branch_cable"]
        cables.queryset = Item.objects.filter(pk__in=[item.pk for item in branches])
        cables.empty_label = f"Its own, {own.name}" if own else "Its own"
        cables.label_from_instance = lambda item: f"To switches and the like, {item.name}"

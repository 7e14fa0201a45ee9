from django import forms

from jobs.core.stages import Half
from jobs.models import Booking, Firm, Person

THINKING = [(5, "5 seconds"), (20, "20 seconds"), (60, "1 minute")]


class PlanAgainForm(forms.Form):
    seconds = forms.TypedChoiceField(label="Let it think for", choices=THINKING, coerce=int, initial=5)


class VersionForm(forms.Form):
    """The plan as it was when the page was shown, so that nobody acts on one they have not seen."""

    version = forms.IntegerField(min_value=0, widget=forms.HiddenInput)


class HoldForm(VersionForm):
    """When a visit is to start: the day and the half."""

    on = forms.DateField(
        label="Day",
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date", "autofocus": True}),
        error_messages={"invalid": "Write the day as 2027-01-31, or choose it from the calendar."},
    )
    half = forms.ChoiceField(label="When", choices=[(half.value, half.label.capitalize()) for half in Half])


class MoveForm(HoldForm):
    """Where a booking goes: the day, the half (or the whole day), and who."""

    WHOLE_DAY = "all"

    person = forms.ModelChoiceField(
        label="Who", queryset=Person.objects.none(), empty_label=None,
        error_messages={"invalid_choice": "Choose one of your own people."},
    )

    def __init__(self, *args: object, firm: Firm, has_other_half: bool = False, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"].queryset = Person.objects.filter(firm=firm, is_active=True)
        if has_other_half:
            self.fields["half"].choices = [(self.WHOLE_DAY, "Both halves of the day"), *self.fields["half"].choices]

    @classmethod
    def start_values(cls, booking: Booking, version: int, has_other_half: bool) -> dict[str, object]:
        half = cls.WHOLE_DAY if has_other_half else booking.half
        return {"on": booking.on, "half": half, "person": booking.person_id, "version": version}

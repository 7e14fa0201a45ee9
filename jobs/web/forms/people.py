from django import forms

from jobs.calendars.busy import MOST_BYTES
from jobs.core.web_address import MOST_CHARACTERS, BadAddressError, read_address
from jobs.models import Absence, AbsenceSource, Person
from jobs.models.person import WEEKDAYS
from jobs.web.forms.blanks import name_blanks


def day_input() -> forms.DateInput:
    return forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})


class PersonForm(forms.ModelForm):
    class Meta:
        model = Person
        fields = [
            "name", "grade", "may_test", "needs_supervision", "born_on", "productivity", "hours_per_week", "phone",
            "email", "wants_morning_message", "is_active",
        ]
        labels = {
            "may_test": "May test and sign",
            "needs_supervision": "Needs supervision",
            "born_on": "Birthday",
            "productivity": "Pace",
            "hours_per_week": "Hours a week",
            "email": "E-mail",
            "wants_morning_message": "Gets the morning message",
            "is_active": "Works here",
        }
        widgets = {"born_on": day_input()}

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        name_blanks(self.fields)
        if self.instance._state.adding:
            del self.fields["is_active"]

    def clean_hours_per_week(self):
        hours = self.cleaned_data["hours_per_week"]
        if not 0 < hours <= 60:
            raise forms.ValidationError("Give the hours of a usual week, more than 0 and at most 60.")
        return hours


class AbsenceForm(forms.ModelForm):
    class Meta:
        model = Absence
        fields = ["kind", "starts_on", "ends_on", "part", "note"]
        labels = {"kind": "Why", "starts_on": "First day", "ends_on": "Last day", "part": "Which part of the day"}
        widgets = {"starts_on": day_input(), "ends_on": day_input()}


class CollegeDayForm(forms.Form):
    weekday = forms.TypedChoiceField(label="Day of the week", coerce=int, choices=list(enumerate(WEEKDAYS[:5])))
    starts_on = forms.DateField(label="First day", widget=day_input())
    ends_on = forms.DateField(label="Last day of the course", widget=day_input())


class AbsenceSourceForm(forms.Form):
    """A calendar as a file or an address, one of the two."""

    name = forms.CharField(
        label="What you call it", max_length=AbsenceSource._meta.get_field("name").max_length,
        help_text="For example: College timetable",
    )
    kind = forms.ChoiceField(label="Its entries are", choices=Absence.Kind.choices, initial=Absence.Kind.COLLEGE)
    calendar_file = forms.FileField(
        label="Calendar file", required=False, help_text="An .ics file, up to 1 MB. It is read once.",
        widget=forms.FileInput(attrs={"accept": ".ics,text/calendar"}),
    )
    calendar_address = forms.CharField(
        label="Or its web address", required=False, max_length=MOST_CHARACTERS,
        help_text="Begins with https:// or webcal://. It is read again every day.",
        widget=forms.TextInput(attrs={"inputmode": "url", "autocomplete": "off"}),
    )

    def clean_calendar_file(self):
        file = self.cleaned_data["calendar_file"]
        if file and file.size > MOST_BYTES:
            raise forms.ValidationError("The file is larger than 1 MB. Save only the calendar with the days away.")
        return file

    def clean_calendar_address(self):
        address = self.cleaned_data["calendar_address"].strip()
        try:
            return address and read_address(address) and address
        except BadAddressError as bad:
            raise forms.ValidationError(str(bad)) from bad

    def clean(self):
        data = super().clean()
        if not self.errors and bool(data["calendar_file"]) == bool(data["calendar_address"]):
            self.add_error("calendar_file", "Choose a file or give an address: one of the two.")
        return data

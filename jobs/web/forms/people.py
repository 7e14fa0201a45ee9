from django import forms

from jobs.models import Absence, Person
from jobs.models.person import WEEKDAYS


def day_input() -> forms.DateInput:
    return forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})


class PersonForm(forms.ModelForm):
    class Meta:
        model = Person
        fields = [
            "name", "grade", "may_test", "needs_supervision", "born_on", "productivity", "hours_per_week", "phone",
            "email", "is_active",
        ]
        labels = {
            "may_test": "May test and sign",
            "needs_supervision": "Needs supervision",
            "born_on": "Birthday",
            "productivity": "Pace",
            "hours_per_week": "Hours a week",
            "is_active": "Works here",
        }
        widgets = {"born_on": day_input()}

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

"""Readings typed in the office or brought in as a file, and the firm's instruments."""

from django import forms

from jobs.core.electrics.readings import LONGEST_TEXT, State, read
from jobs.core.electrics.under_test import UNITS, Measure, WhenTested
from jobs.core.survey_file import MOST_BYTES
from jobs.core.survey_file.opening import too_large
from jobs.models import Instrument, Job, Person
from jobs.queries.reading_lines import Line
from jobs.queries.readings import Sheet, list_instruments, list_testers
from jobs.web.forms.people import day_input

VOLTS = [("500", "500 V"), ("250", "250 V, equipment connected")]


class TakenForm(forms.Form):
    """Who tested, on which day, with what."""

    tested_by = forms.ModelChoiceField(Person.objects.none(), label="Who tested", empty_label="choose")
    tested_on = forms.DateField(label="Tested on", widget=day_input())
    instrument = forms.ModelChoiceField(
        Instrument.objects.none(), label="Instrument", required=False, empty_label="none: nothing measured in figures"
    )
    test_volts = forms.TypedChoiceField(label="Insulation tested at", choices=VOLTS, coerce=int, required=False, empty_value=500)
    note = forms.CharField(
        label="Why something was not tested", max_length=200, required=False, help_text="Needed beside LIM or N/A"
    )

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["tested_by"].queryset = list_testers(job.firm_id)
        self.fields["instrument"].queryset = list_instruments(job.firm_id)


class ReadingsForm(TakenForm):
    """A field for each measure of a sheet, as testers write; blank leaves what stands."""

    def __init__(self, *args: object, sheet: Sheet, **kwargs: object) -> None:
        super().__init__(*args, job=sheet.circuit.job, **kwargs)
        self.lines = sheet.lines
        for line in sheet.lines:
            name = line.field.measure.value
            self.fields[name] = forms.CharField(label=line.field.measure.label, required=False, max_length=LONGEST_TEXT)
            self.fields[name].widget.attrs |= {"autocomplete": "off", "aria-describedby": f"beside-{name}"}

    def rows(self) -> list[tuple[Line, forms.BoundField]]:
        return [(line, self[line.field.measure.value]) for line in self.lines]

    def taken(self) -> list[forms.BoundField]:
        return [self[name] for name in TakenForm.base_fields]

    @property
    def written(self) -> dict[Measure, str]:
        measures = (line.field.measure for line in self.lines)
        return {measure: self.cleaned_data[measure.value] for measure in measures if self.cleaned_data.get(measure.value)}

    def clean(self) -> None:
        states = set()
        for line in self.lines:
            measure = line.field.measure
            found = read(self.cleaned_data.get(measure.value, ""), UNITS[measure])
            states.add(found.state)
            if found.problem:
                self.add_error(measure.value, found.problem)
        if {State.LIMITED, State.NOT_APPLICABLE} & states and not self.cleaned_data.get("note"):
            self.add_error("note", "Write why it was not tested, or does not apply.")


class ReadingsFileForm(TakenForm):
    when_tested = forms.ChoiceField(label="Which tests", choices=[(one.value, one.label) for one in WhenTested])
    readings_file = forms.FileField(
        label="File of readings", help_text="CSV or XLSX, up to 10 MB", allow_empty_file=True, max_length=None,
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx,text/csv"}),
    )
    field_order = ["readings_file", "when_tested"]

    def clean_readings_file(self):
        file = self.cleaned_data["readings_file"]
        if file.size > MOST_BYTES:
            raise forms.ValidationError(too_large(file.size))
        return file


class InstrumentForm(forms.ModelForm):
    class Meta:
        model = Instrument
        fields = ["name", "serial", "calibrated_on", "due_on", "is_retired"]
        labels = {
            "name": "Name", "serial": "Serial number", "calibrated_on": "Calibrated on", "due_on": "Due again on",
            "is_retired": "No longer used",
        }
        widgets = {"calibrated_on": day_input(), "due_on": day_input()}

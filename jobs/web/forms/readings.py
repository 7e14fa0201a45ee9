"""Readings typed in the office or brought in as a file, and the firm's instruments."""

from collections.abc import Mapping, Sequence

from django import forms

from jobs.core.electrics.readings import LONGEST_TEXT, State, Unit, read
from jobs.core.electrics.sockets import SocketMeasure
from jobs.core.electrics.under_test import WhenTested
from jobs.core.survey_file import MOST_BYTES
from jobs.core.survey_file.opening import too_large
from jobs.models import Instrument, Job, Person, Point
from jobs.queries.reading_lines import Line
from jobs.queries.readings import list_instruments, list_testers
from jobs.queries.ring_sockets import Cell, RingSockets, SocketRow
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
    """A field for each measure of a circuit, as testers write; blank leaves what stands."""

    def __init__(self, *args: object, job: Job, lines: Sequence[Line], **kwargs: object) -> None:
        super().__init__(*args, job=job, **kwargs)
        self.lines = lines
        for line in lines:
            self.fields[line.field.measure.value] = reading_field(line.field.measure.label, line.field.measure.value)

    def rows(self) -> list[tuple[Line, forms.BoundField]]:
        return [(line, self[line.field.measure.value]) for line in self.lines]

    def taken(self) -> list[forms.BoundField]:
        return [self[name] for name in TakenForm.base_fields if name in self.fields]

    @property
    def written(self) -> dict[str, str]:
        measures = (line.field.measure for line in self.lines)
        return {measure: self.cleaned_data[measure.value] for measure in measures if self.cleaned_data.get(measure.value)}

    def clean(self) -> None:
        check_written(self, {line.field.measure.value: line.field.unit for line in self.lines})


class SupplyReadingsForm(ReadingsForm):
    """What is read at the origin; no insulation is tested there."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["test_volts"]


class SocketsForm(TakenForm):
    """Two fields for each socket of a ring with its ends cross-connected."""

    def __init__(self, *args: object, job: Job, ring: RingSockets, **kwargs: object) -> None:
        super().__init__(*args, job=job, **kwargs)
        del self.fields["test_volts"]
        self.ring = ring
        for row in ring.rows:
            for cell in row.cells:
                name = _cell_name(row, cell)
                self.fields[name] = reading_field(f"{row.socket.name}: {cell.measure.label.lower()}", name)

    def rows(self) -> list[tuple[SocketRow, list[tuple[Cell, forms.BoundField]]]]:
        return [(row, [(cell, self[_cell_name(row, cell)]) for cell in row.cells]) for row in self.ring.rows]

    def taken(self) -> list[forms.BoundField]:
        return [self[name] for name in TakenForm.base_fields if name in self.fields]

    @property
    def written(self) -> dict[Point, dict[SocketMeasure, str]]:
        texts = {
            row.socket.point: {
                cell.measure: text for cell in row.cells if (text := self.cleaned_data.get(_cell_name(row, cell)))
            }
            for row in self.ring.rows
        }
        return {point: found for point, found in texts.items() if found}

    def clean(self) -> None:
        check_written(self, {_cell_name(row, cell): Unit.OHM for row in self.ring.rows for cell in row.cells})


def _cell_name(row: SocketRow, cell: Cell) -> str:
    return f"{cell.measure.value}_{row.socket.point.pk}"


def reading_field(label: str, name: str) -> forms.CharField:
    field = forms.CharField(label=label, required=False, max_length=LONGEST_TEXT)
    field.widget.attrs |= {"autocomplete": "off", "aria-describedby": f"beside-{name}"}
    return field


def check_written(form: forms.Form, units: Mapping[str, Unit]) -> None:
    """What is no reading is said at its field; what was not tested needs its reason."""
    states = set()
    for name, unit in units.items():
        found = read(form.cleaned_data.get(name, ""), unit)
        states.add(found.state)
        if found.problem:
            form.add_error(name, found.problem)
    if {State.LIMITED, State.NOT_APPLICABLE} & states and not form.cleaned_data.get("note"):
        form.add_error("note", "Write why it was not tested, or does not apply.")


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

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        if self.instance._state.adding:
            del self.fields["is_retired"]

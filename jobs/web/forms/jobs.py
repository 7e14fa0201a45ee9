from django import forms

from jobs.core.stages import WORKED_STAGES
from jobs.models import AccessoryRange, Area, Contact, Dependency, Firm, Job, Person, Room, Visit, VisitKind, WorkPackage
from jobs.queries.jobs import list_customers, list_drying_rules
from jobs.web.forms.people import day_input


class JobForm(forms.ModelForm):
    plaster_system = forms.ChoiceField(label="Plaster", help_text="Decides how long it dries before second fix")
    plaster_thickness_mm = forms.IntegerField(label="Its thickness, mm", min_value=1, max_value=100, initial=13)

    class Meta:
        model = Job
        fields = [
            "name", "house", "address", "postcode", "customer", "access_notes", "earliest_start_on", "promised_finish_on",
            "wall_kind", "plaster_system", "plaster_thickness_mm", "is_cold_or_damp", "is_occupied",
            "accessory_range", "notice_route", "has_licensed_asbestos",
        ]
        labels = {
            "earliest_start_on": "Earliest start",
            "promised_finish_on": "Promised finish",
            "wall_kind": "Usual walls",
            "is_cold_or_damp": "Cold or damp house",
            "is_occupied": "People live in it meanwhile",
            "access_notes": "Getting in",
            "accessory_range": "Range of accessories",
            "notice_route": "Building control",
            "has_licensed_asbestos": "Licensed asbestos work",
        }
        widgets = {
            "address": forms.Textarea(attrs={"rows": 2}),
            "access_notes": forms.Textarea(attrs={"rows": 2}),
            "earliest_start_on": day_input(),
            "promised_finish_on": day_input(),
        }

    def __init__(self, *args: object, firm: Firm, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["customer"].queryset = list_customers(firm)
        self.fields["customer"].empty_label = "Nobody yet"
        self.fields["accessory_range"].queryset = AccessoryRange.objects.filter(firm=firm)
        self.fields["accessory_range"].empty_label = "As the recipes say"
        rules = [(rule.system, rule.name) for rule in list_drying_rules(firm)]
        known = {system for system, _ in rules}
        own = self.instance.plaster_system
        self.fields["plaster_system"].choices = rules if own in known else [(own, own.replace("_", " ")), *rules]
        self.fields["plaster_system"].initial = own

    def clean_postcode(self):
        return " ".join(self.cleaned_data["postcode"].upper().split())


class HandOverForm(forms.Form):
    finished_on = forms.DateField(label="Handed over on", widget=day_input())
    open_snags_reason = forms.CharField(
        label="Why with snags open", max_length=200, required=False, help_text="Only if something is still to be put right"
    )
    open_readings_reason = forms.CharField(
        label="Why with readings missing or out", max_length=200, required=False,
        help_text="Kept with your name and with what is missing",
    )


class SnagForm(forms.Form):
    room = forms.ModelChoiceField(Room.objects.none(), label="Room", empty_label=None)
    stage = forms.ChoiceField(label="Stage", choices=[(stage.value, stage.label) for stage in WORKED_STAGES])
    words = forms.CharField(label="What is to be put right", max_length=200)
    labour_hours = forms.DecimalField(label="Hours", min_value=0, max_digits=4, decimal_places=2, initial=1)

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["room"].queryset = Room.objects.filter(job=job).select_related("job", "area")


class WorkedHoursForm(forms.Form):
    """Somebody's hours of a day, put right by the office."""

    package = forms.ModelChoiceField(WorkPackage.objects.none(), label="Work", empty_label=None)
    person = forms.ModelChoiceField(Person.objects.none(), label="Who", empty_label=None)
    on = forms.DateField(label="Day", widget=day_input())
    hours = forms.DecimalField(label="Hours", min_value=0, max_value=24, max_digits=4, decimal_places=2)

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["package"].queryset = WorkPackage.objects.filter(job=job).select_related("area", "firm")
        self.fields["person"].queryset = Person.objects.filter(firm_id=job.firm_id)


class HoursForm(forms.Form):
    """The contractor's own figure for a package; empty goes back to the take-off's."""

    labour_hours = forms.DecimalField(
        label="Own hours", required=False, min_value=0, max_value=9999, max_digits=6, decimal_places=2
    )


class LimitsForm(forms.Form):
    """When a package may start, how many may work on it, and whether it closes the day it opens."""

    not_before_on = forms.DateField(label="Not before", required=False, widget=day_input())
    most_people = forms.IntegerField(label="Most people at once", min_value=1)
    must_close_same_day = forms.TypedChoiceField(
        label="Closed the day it is opened", required=False, empty_value=None, coerce=lambda value: value == "yes",
        choices=[("", "as the survey says"), ("yes", "yes"), ("no", "no")],
    )

    def __init__(self, *args: object, package: WorkPackage, **kwargs: object) -> None:
        closes = {None: "", True: "yes", False: "no"}[package.corrected_close_same_day]
        initial = {
            "not_before_on": package.not_before_on, "most_people": package.most_people, "must_close_same_day": closes,
        }
        super().__init__(*args, initial=initial, auto_id=f"limits-{package.pk}-%s", **kwargs)


class PersonChoiceForm(forms.Form):
    person = forms.ModelChoiceField(Person.objects.none(), label="Who", empty_label=None)
    is_excluded = forms.TypedChoiceField(
        label="On this job", coerce=lambda value: value == "off", choices=[("wanted", "preferred"), ("off", "kept off")]
    )

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"].queryset = Person.objects.filter(firm_id=job.firm_id, is_active=True)


class VisitForm(forms.Form):
    kind = forms.ModelChoiceField(VisitKind.objects.none(), label="Visit", empty_label=None)
    area = forms.ModelChoiceField(Area.objects.none(), label="Where", required=False, empty_label="Whole house")
    contact = forms.ModelChoiceField(Contact.objects.none(), label="Who comes", required=False, empty_label="Nobody chosen yet")
    length_days = forms.DecimalField(
        label="Days", required=False, min_value=0.5, max_value=100, max_digits=4, decimal_places=1,
        help_text="Empty: as long as usual",
    )

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].queryset = VisitKind.objects.filter(firm_id=job.firm_id)
        self.fields["area"].queryset = Area.objects.filter(job=job)
        self.fields["contact"].queryset = Contact.objects.filter(firm_id=job.firm_id)


class WaitForm(forms.Form):
    """“after” waits for “before”; each is a package or a visit of the job."""

    after = forms.ChoiceField(label="What waits")
    before = forms.ChoiceField(label="For what")
    lag_days = forms.IntegerField(label="Days in between", min_value=0, max_value=365, initial=0)
    reason = forms.CharField(label="Why", max_length=Dependency._meta.get_field("reason").max_length, required=False)

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        packages = WorkPackage.objects.filter(job=job).select_related("area")
        visits = Visit.objects.filter(job=job).exclude(state=Visit.State.CANCELLED).select_related("kind", "area")
        self._activities = {f"package-{row.pk}": row for row in packages} | {f"visit-{row.pk}": row for row in visits}
        choices = [(key, str(row)) for key, row in self._activities.items()]
        self.fields["after"].choices = self.fields["before"].choices = choices

    def clean_after(self):
        return self._activities[self.cleaned_data["after"]]

    def clean_before(self):
        return self._activities[self.cleaned_data["before"]]

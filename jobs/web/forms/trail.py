from django import forms

from jobs.models import Firm, Job, Role, User


class TrailForm(forms.Form):
    """Whose changes, on what, and how far back; what is not understood shows everything."""

    by = forms.ModelChoiceField(label="By", queryset=User.objects.none(), required=False, empty_label="anyone")
    job = forms.ModelChoiceField(label="On", queryset=Job.objects.none(), required=False, empty_label="anything")
    before = forms.IntegerField(required=False, min_value=1, max_value=2**62, widget=forms.HiddenInput)

    def __init__(self, *args: object, firm: Firm) -> None:
        super().__init__(*args)
        self.fields["by"].queryset = User.objects.filter(firm=firm, role=Role.OFFICE).order_by("username")
        self.fields["job"].queryset = Job.objects.filter(firm=firm).order_by("name")

"""Taking over suggested hours."""

from django import forms


class AcceptForm(forms.Form):
    """The hours the person saw."""

    hours = forms.DecimalField(max_digits=6, decimal_places=2, min_value=0)

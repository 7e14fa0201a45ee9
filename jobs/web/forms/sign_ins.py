from django import forms

from jobs.models import User


class ColleagueForm(forms.Form):
    name = forms.CharField(label="Their name", max_length=150)
    username = forms.CharField(
        label="Name to sign in with", max_length=60, validators=User._meta.get_field("username").validators,
        help_text="Letters, figures and @ . + - _ only.",
        widget=forms.TextInput(attrs={"autocapitalize": "none", "autocomplete": "off", "spellcheck": "false"}),
    )


class ChoosePasswordForm(forms.Form):
    """A password somebody chooses by the link from their office."""

    token = forms.CharField(max_length=200, widget=forms.HiddenInput)
    new_password = forms.CharField(
        label="New password", max_length=200, strip=False, help_text="At least 10 letters and none that many people use.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    once_more = forms.CharField(
        label="The same again", max_length=200, strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean_once_more(self) -> str:
        if self.cleaned_data["once_more"] != self.cleaned_data.get("new_password"):
            raise forms.ValidationError("The two passwords differ.")
        return self.cleaned_data["once_more"]

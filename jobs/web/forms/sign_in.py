from django import forms
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.core.exceptions import ValidationError

from jobs.models import User

WRONG = "That name and password do not belong together. Check both; capital letters count."


class OfficeSignInForm(AuthenticationForm):
    error_messages = {"invalid_login": WRONG, "inactive": WRONG}

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "Name"
        del self.fields["username"].widget.attrs["autofocus"]  # phones come here for the code

    def confirm_login_allowed(self, user: User) -> None:
        if not user.is_active or not user.is_office or user.firm_id is None:
            raise ValidationError(WRONG, code="invalid_login")


class CodeForm(forms.Form):
    code = forms.CharField(
        label="Code from the office",
        max_length=40,
        help_text="8 letters and numbers. It works for 10 minutes, once.",
        widget=forms.TextInput(
            attrs={"autocomplete": "one-time-code", "autocapitalize": "characters", "spellcheck": "false"}
        ),
    )


class LinkForm(forms.Form):
    token = forms.CharField(max_length=100, widget=forms.HiddenInput)


class NewPasswordForm(PasswordChangeForm):
    """Asks for the old password, then twice for the new one."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["new_password1"].help_text = "At least 10 letters and none that many people use."
        self.fields["new_password2"].label, self.fields["new_password2"].help_text = "The same again", ""

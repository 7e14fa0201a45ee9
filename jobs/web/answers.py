"""From a form to one action, with what the action refuses said at the field it is about."""

from collections.abc import Callable

from django.forms import BaseForm

from jobs.actions.permission import Refused


def carry_out(form: BaseForm, action: Callable[[], object]) -> bool:
    """Run `action` when the form is valid; whether it was done. What it refuses becomes an error of the form."""
    if not form.is_valid():
        return False
    try:
        action()
    except Refused as refused:
        form.add_error(refused.field if refused.field in form.fields else None, refused.message)
        return False
    return True

"""From a form or a button to one action, with what the action refuses said where the person looks."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpRequest

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


def press(request: HttpRequest, action: Callable[[], Any], done: str | Callable[[Any], str] = "") -> bool:
    """Run the action of a button without fields; whether it was done. The next page says so, or what was refused.

    `done` may take what the action returned.
    """
    try:
        result = action()
    except Refused as refused:
        messages.error(request, refused.message)
        return False
    words = done(result) if callable(done) else done
    if words:
        messages.success(request, words)
    return True

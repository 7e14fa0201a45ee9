"""Text messages leave through a gateway the firm brings: a class of its own, named by a setting.

No gateway comes with the program: each provider has its own, and each costs money.
"""

from typing import Protocol

from django.conf import settings
from django.utils.module_loading import import_string


class TextGateway(Protocol):
    """What a gateway must do. It is made anew, without arguments, for each message."""

    def send(self, *, number: str, text: str, reference: str) -> None:
        """Hand one message over to the provider; raise whatever went wrong, and it is tried again later.

        `number` is as the office wrote it, `text` plain text of any length and alphabet. `reference` is the same each
        time the same message is tried, so that a provider that knows it can drop the second one.
        """


def load_gateway() -> TextGateway:
    """The gateway that `TEXT_GATEWAY` names by its dotted path. ImportError when there is no such class."""
    return import_string(settings.TEXT_GATEWAY)()

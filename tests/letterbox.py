"""A mail server for tests that keeps what it is handed, read as a mail program reads it."""

import socket
from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes, policy
from email.message import EmailMessage

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import Envelope


class Letterbox:
    def __init__(self) -> None:
        self.messages: list[EmailMessage] = []
        self.raw: list[bytes] = []

    async def handle_DATA(self, server: object, session: object, envelope: Envelope) -> str:
        self.raw.append(envelope.content)
        self.messages.append(message_from_bytes(envelope.content, policy=policy.default))
        return "250 Message accepted for delivery"


@contextmanager
def mail_server(settings: object) -> Iterator[Letterbox]:
    """Mail goes to this server, over a real connection, while the block lasts."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    controller = Controller(Letterbox(), hostname="127.0.0.1", port=port)
    controller.start()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port
    try:
        yield controller.handler
    finally:
        controller.stop()


def calendar_part(mail: EmailMessage) -> EmailMessage:
    return next(part for part in mail.walk() if part.get_content_type() == "text/calendar")


def attached_file(mail: EmailMessage) -> EmailMessage:
    return next(iter(mail.iter_attachments()))

"""Mail on the console as people read it: head, words, and what is attached by name. For trying things out."""

from django.core.mail import EmailMessage
from django.core.mail.backends import console


class EmailBackend(console.EmailBackend):
    def write_message(self, message: EmailMessage) -> None:
        written = message.message()
        head = [
            f"Subject: {message.subject}", f"From: {message.from_email}", f"To: {', '.join(message.to)}",
            f"Message-ID: {written['Message-ID']}",
        ]
        parts = [part.get_content_type() for part in written.walk() if not part.is_multipart()]
        with_it = [f"With it: {', '.join(parts[1:])}"] if parts[1:] else []
        self.stream.write("\n".join([*head, *with_it, "", message.body.rstrip(), "-" * 79, ""]))

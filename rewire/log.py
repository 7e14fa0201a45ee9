"""Log lines that hold no secret link, cannot be forged with a line break, and name the request they belong to."""

import logging
import re
from contextvars import ContextVar

request_id: ContextVar[str] = ContextVar("request_id", default="-")

SECRET = re.compile(r"[A-Za-z0-9_-]{32,}")
"""Long enough to be the token of a secret link, a session or a code, never an ordinary word of a log line."""


class WithoutSecrets(logging.Filter):
    """Masks anything shaped like a token, in the message and in its arguments."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.msg, record.args = SECRET.sub("[secret]", record.getMessage()), None
        return True


class WithRequest(logging.Filter):
    """Gives each record the number of the request that is being answered, or a dash."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.request_id = request_id.get()
        return True


class OneLine(logging.Formatter):
    """One record, one line; only a traceback may add its own lines."""

    def formatMessage(self, record: logging.LogRecord) -> str:
        return super().formatMessage(record).replace("\r", "\\r").replace("\n", "\\n")

    def formatException(self, ei: object) -> str:
        return SECRET.sub("[secret]", super().formatException(ei))

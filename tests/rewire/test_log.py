import logging
import secrets

import pytest

from rewire.log import OneLine, WithoutSecrets


def line_of(message: str, *arguments: object, error: Exception | None = None) -> str:
    exc_info = (type(error), error, None) if error else None
    record = logging.LogRecord("jobs", logging.INFO, __file__, 1, message, arguments, exc_info)
    WithoutSecrets().filter(record)
    return OneLine("{message}", style="{").format(record)


@pytest.mark.parametrize("bytes_of_token", [24, 32, 64])
def test_token_is_masked_when_an_address_holds_one(bytes_of_token: int) -> None:
    token = secrets.token_urlsafe(bytes_of_token)
    assert line_of("GET %s 200", f"/t/{token}/visits/") == "GET /t/[secret]/visits/ 200"


def test_ordinary_words_stay_when_they_are_logged() -> None:
    assert line_of("Outbox entry %s failed.", "notice:41:send") == "Outbox entry notice:41:send failed."


def test_line_break_is_shown_as_text_when_somebody_sent_one() -> None:
    assert line_of("Not found: %s", "/x\r\n2027-01-12 INFO all is well") == r"Not found: /x\r\n2027-01-12 INFO all is well"


def test_token_is_masked_when_a_traceback_holds_one() -> None:
    token = secrets.token_urlsafe(32)
    assert token not in line_of("failed", error=ValueError(token))

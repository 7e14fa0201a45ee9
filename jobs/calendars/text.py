"""Text as every calendar reader can take it."""

import re

LINE_BREAKS = re.compile("\r\n|[\r\x85\u2028\u2029]")
UNREADABLE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufeff]")
"""Control characters other than tab and newline, halves of surrogate pairs, byte-order marks."""


def clean(text: str) -> str:
    """`text` with one kind of line break and without what RFC 5545 section 3.3.11 does not allow."""
    return UNREADABLE.sub("", LINE_BREAKS.sub("\n", text))

"""For which firm the work at hand is done. PostgreSQL is told and then holds it (`rewire.postgresql`, `jobs.models.guards`)."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_named: ContextVar[int | None] = ContextVar("named_firm", default=None)


def named_firm() -> int | None:
    """The firm's number; None while the work is for all firms, or it is not yet known for which."""
    return _named.get()


@contextmanager
def work_for(firm_pk: int | None) -> Iterator[None]:
    """Within it the database shows and takes rows of this firm only; with None, of every firm. Whatever was before is back
    afterwards, also after an exception. Each thread begins without a firm."""
    before = _named.set(firm_pk)
    try:
        yield
    finally:
        _named.reset(before)


def name_firm(firm_pk: int) -> None:
    """From here to the end of the `work_for(None)` around it: for where the firm shows only on the way."""
    _named.set(firm_pk)

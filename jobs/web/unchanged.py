"""Pages kept as they were rendered, for as long as nothing they show has changed.

A page is kept under everything it depends on: who asks, from which address, as page or fragment, and where the tables
stand that it asked while it was built (`jobs.queries.change_marks`), read before the rows. Time is the one thing without
a mark: a page ends with its day, or at the `until` its view names. What must differ each time stands in it as a blank
and is filled anew: the form token, the ids of operations, the moment. Each process keeps its own; together at most
MOST_BYTES.
"""

import re
import secrets
import uuid
from collections import OrderedDict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from threading import Lock
from zoneinfo import ZoneInfo

from django.contrib.messages import get_messages
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.template.loader import render_to_string
from django.utils import timezone

from jobs.models import User
from jobs.queries.change_marks import Standing, load_standing, note_tables, standing_of, still_stands
from jobs.web.device_session import device_key

MOST_BYTES = 48 * 1024 * 1024
_MARK = secrets.token_hex(16)
"""Nobody who does not know it can write a blank into their own words."""
_BLANKS = {name: f"{_MARK}-{name}" for name in ("csrf_token", "new_id", "made_at")}
_BLANK = re.compile(f"{_MARK}-({'|'.join(_BLANKS)})".encode())


@dataclass(frozen=True)
class Page:
    """What a view shows: `until` is the first moment at which it would look different though no row changed."""

    template: str
    context: dict[str, object]
    until: datetime | None = None


@dataclass(frozen=True)
class _Kept:
    """A rendered page, cut at its blanks: every second part names one. It holds while the tables it asked stand so."""

    parts: tuple[bytes, ...]
    standing: Standing
    since: datetime
    until: datetime

    @property
    def size(self) -> int:
        return sum(map(len, self.parts))

    def holds(self, standing: Standing, now: datetime) -> bool:
        return still_stands(self.standing, standing) and self.since <= now < self.until


class _Shelf:
    """The pages kept by this process; the least recently asked for leave first."""

    def __init__(self) -> None:
        self._pages: OrderedDict[tuple, _Kept] = OrderedDict()
        self._bytes, self._lock = 0, Lock()

    def find(self, key: tuple, standing: Standing, now: datetime) -> _Kept | None:
        with self._lock:
            page = self._pages.get(key)
            if page is None or not page.holds(standing, now):
                return None
            self._pages.move_to_end(key)
            return page

    def keep(self, key: tuple, page: _Kept) -> None:
        with self._lock:
            self._drop(key)
            self._pages[key] = page
            self._bytes += page.size
            while self._bytes > MOST_BYTES:
                self._drop(next(iter(self._pages)))

    def _drop(self, key: tuple) -> None:
        dropped = self._pages.pop(key, None)
        self._bytes -= dropped.size if dropped else 0


_shelf = _Shelf()


def render_unchanged(request: HttpRequest, build: Callable[[], Page]) -> HttpResponse:
    """The page as it is kept, or built anew where anything it shows may have changed."""
    now, key = timezone.now(), _asked(request)
    standing = None if len(get_messages(request)) else load_standing(request.user.firm_id)
    kept = _shelf.find(key, standing, now) if standing is not None else None
    parts = kept.parts if kept else _build(request, build, key, standing, now)
    return HttpResponse(_filled(request, parts, now))


def _asked(request: HttpRequest) -> tuple[object, ...]:
    """Everything of a request that a page may depend on."""
    fragment = (request.headers.get(name) for name in ("HX-Request", "HX-Target", "HX-History-Restore-Request"))
    where = request.scheme, request.get_host(), request.get_full_path()
    return (*where, *fragment, *_who(request.user), bool(device_key(request)))


def _who(user: User) -> Iterator[object]:
    """The person as read for this request, which was before anything could tell where their row stood."""
    shown = (field.attname for field in user._meta.concrete_fields if field.name not in {"last_login", "password"})
    return (getattr(user, name) for name in shown)


def _build(
    request: HttpRequest, build: Callable[[], Page], key: tuple, standing: Standing | None, now: datetime
) -> tuple[bytes, ...]:
    with note_tables() as tables:
        page = build()
        text = render_to_string(page.template, page.context | _BLANKS, request)
        until = min(filter(None, (page.until, _midnight(request, now))))
    parts, stands = tuple(_BLANK.split(text.encode())), standing_of(tables, standing) if standing is not None else None
    if stands is not None:
        _shelf.keep(key, _Kept(parts, stands, now, until))
    return parts


def _midnight(request: HttpRequest, now: datetime) -> datetime:
    zone = ZoneInfo(request.user.firm.zone)
    return datetime.combine(now.astimezone(zone).date() + timedelta(days=1), time(0), zone)


def _filled(request: HttpRequest, parts: tuple[bytes, ...], now: datetime) -> bytes:
    same = {b"csrf_token": get_token(request).encode(), b"made_at": now.isoformat(timespec="milliseconds").encode()}
    filled = list(parts)
    filled[1::2] = (same.get(name) or str(uuid.uuid4()).encode() for name in parts[1::2])
    return b"".join(filled)

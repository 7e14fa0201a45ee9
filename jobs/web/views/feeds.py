"""Subscribed calendars, by secret link."""

from datetime import date
from zoneinfo import ZoneInfo

from django.core.cache import caches
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from jobs.actions.links import note_opened
from jobs.calendars.feed import SERIALISER_VERSION, event_text, feed_text
from jobs.models import SecretLink
from jobs.queries.feeds import feed_name, feed_version, load_events
from jobs.web.feed_limit import seconds_to_wait
from jobs.web.getters import get_feed_or_404
from jobs.web.secret import hidden


# Compressed, since a calendar holds no secret beside what the reader wrote; pages with tokens are not (BREACH).
@gzip_page
@hidden("private, no-cache")
@require_safe
def calendar_feed(request: HttpRequest, token: str) -> HttpResponse:
    now = timezone.now()
    if wait := seconds_to_wait(token, now):
        words = "Fetched too often. Calendars need to look every few hours at most.\n"
        return HttpResponse(words, status=429, content_type="text/plain; charset=utf-8", headers={"Retry-After": str(wait)})
    link = get_feed_or_404(token, now)
    note_opened(link=link, now=now)
    today = now.astimezone(ZoneInfo(link.firm.zone)).date()
    version = feed_version(link, today, SERIALISER_VERSION)
    etag = f'"{version}"'
    response = get_conditional_response(request, etag=etag)
    if response is None:
        whole = caches["feeds"].get_or_set(version, lambda: _whole(link, today))
        response = HttpResponse(whole, content_type="text/calendar; charset=utf-8")
        response["Content-Disposition"] = 'inline; filename="dates.ics"'
    response["ETag"] = etag
    return response


def _whole(link: SecretLink, today: date) -> bytes:
    return feed_text(feed_name(link), map(event_text, load_events(link, today))).encode()

"""The operations endpoint: how phones hand over what was done on site.

`GET /site/hello` → 200 `{"app": "rewire", "csrf": token, "user": {"id": number, "name": text}}`, never stored; 401
when nobody is signed in. The token is asked for before each sending, since signing in changes it.

`POST /site/sync` with `X-CSRFToken` and JSON `{"sent_at": time, "operations": [operation, …]}`, at most 50, in the
order they happened → 200 `{"app": "rewire", "at": time, "answers": [answer, …]}`, one answer per operation in the same
order; `at` is the server's time, by which a phone tells a kept page from newer news:

    ack      the operation's id; a phone forgets an operation only when it reads this
    status   200, 409, 422: final. 503: not looked at, keep it and send it again
    result   "applied", "duplicate" (200), "refused" (409: well-formed, but cannot count; show reason and state),
             "bad" (422: makes no sense, or its id was used for something else), "later" (503)
    reason   a sentence for the person, where there is one
    state    where the line stands now: {"item", "share", "not_needed", "marks"}

`POST /site/photo` with the same header sends one operation with a picture: a form with `operation` (JSON), `sent_at`
and the file `picture`, at most 10 MB → as above, with one answer.

Answers for a whole sending, always JSON and never a redirect: 401 nobody is signed in; 413 too long; 422 not of this
form; 429 more than 100 sendings in a minute. 403 (a token from before a new sign-in), 429, 5xx and no answer at all
mean: keep everything and try again later. Operations are described in `jobs.core.operations`.
"""

import json
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from functools import wraps

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.attempts import TooOften, count_attempt
from jobs.actions.operations import Answer, apply_operation
from jobs.actions.pictures import MOST_BYTES
from jobs.core.operations import read_id
from rewire.named_firm import work_for

APP = "rewire"
MOST_OPERATIONS = 50
LONGEST_BODY = 1024 * 1024
LONGEST_PHOTO = MOST_BYTES + 64 * 1024
SENDINGS = {"what": "sync", "most": 100, "window": timedelta(minutes=1)}
LATER = {"status": 503, "result": "later", "reason": "", "state": {}}


class NotASending(Exception):
    """The body is not of the form above."""


def signed_in(view: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Answers 401 in JSON instead of leading to the sign-in page."""

    @wraps(view)
    def guarded(request: HttpRequest) -> HttpResponse:
        if not request.user.is_authenticated or request.user.firm_id is None:
            return JsonResponse({"app": APP, "reason": "Sign in again on this phone."}, status=401)
        with work_for(request.user.firm_id):
            return view(request)

    return guarded


@never_cache
@require_GET
@signed_in
def hello(request: HttpRequest) -> HttpResponse:
    user = {"id": request.user.pk, "name": str(request.user.person or request.user.get_full_name())}
    return JsonResponse({"app": APP, "csrf": get_token(request), "user": user})


@never_cache
@require_POST
@signed_in
def sync(request: HttpRequest) -> HttpResponse:
    return _answer(request, _read)


@never_cache
@require_POST
@signed_in
def sync_photo(request: HttpRequest) -> HttpResponse:
    return _answer(request, _read_photo)


Sending = tuple[object, list[object], bytes | None]


def _answer(request: HttpRequest, read: Callable[[HttpRequest], Sending]) -> HttpResponse:
    now = timezone.now()
    try:
        count_attempt(**SENDINGS, who=str(request.user.pk), now=now)
        answers = _apply_all(request, *read(request), now)
    except TooOften as often:
        return JsonResponse({"app": APP, "reason": often.message}, status=429)
    except NotASending as wrong:
        reason, status = wrong.args
        return JsonResponse({"app": APP, "reason": reason}, status=status)
    return JsonResponse({"app": APP, "at": now.isoformat(timespec="milliseconds"), "answers": answers})


def _check_length(request: HttpRequest, most: int, reason: str) -> None:
    if int(request.headers.get("Content-Length") or 0) > most:
        raise NotASending(reason, 413)


def _read_json(body: bytes | str) -> object:
    try:
        return json.loads(body)
    except (ValueError, RecursionError):
        raise NotASending("The body is not JSON.", 422) from None


def _read_photo(request: HttpRequest) -> Sending:
    _check_length(request, LONGEST_PHOTO, "The picture is too large.")
    picture = request.FILES.get("picture")
    operation = _read_json(request.POST.get("operation", ""))
    return request.POST.get("sent_at"), [operation], picture.read(MOST_BYTES + 1) if picture else None


def _read(request: HttpRequest) -> Sending:
    _check_length(request, LONGEST_BODY, "Send fewer operations at a time.")
    body = _read_json(request.body)
    operations = body.get("operations") if isinstance(body, dict) else None
    if not isinstance(operations, list) or not 1 <= len(operations) <= MOST_OPERATIONS:
        raise NotASending(f"Send 1 to {MOST_OPERATIONS} operations in a list.", 422)
    return body.get("sent_at"), operations, None


def _apply_all(
    request: HttpRequest, sent_at: object, operations: list[object], picture: bytes | None, now: datetime
) -> list[dict[str, object]]:
    """Each operation in its own transaction; once the database is in trouble, the rest is left for later."""
    answers = []
    for body in operations:
        if answers and answers[-1]["status"] == LATER["status"]:
            answers.append({"ack": read_id(body)} | LATER)
            continue
        try:
            answer = apply_operation(user=request.user, body=_with_time(body, sent_at), now=now, picture=picture)
            answers.append(_as_json(answer))
        except OperationalError:
            answers.append({"ack": read_id(body)} | LATER)
    return answers


def _with_time(body: object, sent_at: object) -> object:
    return {**body, "sent_at": sent_at} if isinstance(body, Mapping) else body


def _as_json(answer: Answer) -> dict[str, object]:
    return {
        "ack": answer.ack, "status": answer.status, "result": answer.result, "reason": answer.reason,
        "state": answer.state,
    }

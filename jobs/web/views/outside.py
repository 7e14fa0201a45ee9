"""A trade's own page, by secret link: their dates, and their answers."""

from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse, HttpResponseForbidden
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST, require_safe

from jobs.actions.links import note_opened
from jobs.actions.permission import Refused
from jobs.actions.visits import accept_visit, decline_visit, suggest_days
from jobs.models import SecretLink, ToldDate
from jobs.queries.links import address_path, find_link_for
from jobs.queries.told import load_trade_dates
from jobs.web.forms.outside import AnswerForm, answer_key
from jobs.web.getters import get_link_or_404, get_told_or_404
from jobs.web.secret import hidden

TOO_OLD = "This form is too old or did not come from your page. Open your page again and answer there.\n"
Purpose = SecretLink.Purpose


@hidden("no-store")
@require_safe
def trade_page(request: HttpRequest, token: str) -> HttpResponse:
    link = get_link_or_404(token, Purpose.TRADE_PAGE, now=timezone.now())
    note_opened(link=link, now=timezone.now())
    return _page(request, link)


@csrf_exempt  # the signed key in the form does this work: see answer_key
@hidden("no-store")
@require_POST
def answer_visit(request: HttpRequest, token: str) -> HttpResponse:
    link = get_link_or_404(token, Purpose.TRADE_PAGE, now=timezone.now())
    form = AnswerForm(request.POST)
    told_pk = form.told_pk(link)
    if told_pk is None or request.headers.get("Sec-Fetch-Site") == "cross-site":
        return HttpResponseForbidden(TOO_OLD, content_type="text/plain; charset=utf-8")
    told = get_told_or_404(link, told_pk)
    if not form.is_valid():
        return _page(request, link, open_form=(told, form), status=422)
    return _take_answer(request, link, told, form)


@require_safe
def robots(request: HttpRequest) -> HttpResponse:
    """Open to robots: a calendar service that may not look would show nothing, and pages say noindex themselves."""
    return HttpResponse("User-agent: *\nDisallow:\n", content_type="text/plain; charset=utf-8")


def _take_answer(request: HttpRequest, link: SecretLink, told: ToldDate, form: AnswerForm) -> HttpResponse:
    try:
        _act(link, told, form)
    except Refused as refused:
        if refused.field in form.fields:
            form.add_error(refused.field, refused.message)
            return _page(request, link, open_form=(told, form), status=422)
        return _page(request, link, refused=refused.message, status=409)
    response = HttpResponse(status=303)
    response["Location"] = f"{reverse('trade_page', args=[request.resolver_match.kwargs['token']])}#visit-{told.visit_id}"
    return response


def _act(link: SecretLink, told: ToldDate, form: AnswerForm) -> None:
    data, now = form.cleaned_data, timezone.now()
    if data["answer"] == ToldDate.Answer.ACCEPTED:
        accept_visit(told=told, link=link, now=now)
    elif data["answer"] == ToldDate.Answer.DECLINED:
        decline_visit(told=told, link=link, note=data["note"], can_come_on=data["can_come_on"], now=now)
    else:
        suggest_days(told=told, link=link, days=form.days, note=data["note"], now=now)


def _page(
    request: HttpRequest,
    link: SecretLink,
    *,
    open_form: tuple[ToldDate, AnswerForm] | None = None,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    today = timezone.localdate(timezone=ZoneInfo(link.firm.zone))
    dates = load_trade_dates(link.contact, today)
    context = {
        "link": link,
        "firm": link.firm,
        "contact": link.contact,
        "dates": [(row, *_forms_for(link, row.told, open_form)) for row in dates],
        "waiting": sum(row.needs_answer for row in dates),
        "refused": refused,
        "calendar": _calendar(request, link),
        "today": today,
    }
    return render(request, "outside/trade_page.html", context, status=status)


def _forms_for(
    link: SecretLink, told: ToldDate, open_form: tuple[ToldDate, AnswerForm] | None
) -> tuple[AnswerForm, AnswerForm]:
    """The form for other days and the one for a plain no; of these two, what was filled in badly stays filled in."""
    forms = []
    for answer in (ToldDate.Answer.SUGGESTED, ToldDate.Answer.DECLINED):
        is_open = open_form is not None and open_form[0].pk == told.pk and open_form[1].data.get("answer") == answer
        form = open_form[1] if is_open else AnswerForm(initial={"key": answer_key(link, told)})
        form.auto_id = f"visit_{told.visit_id}_{answer}_%s"
        forms.append(form)
    return forms[0], forms[1]


def _calendar(request: HttpRequest, link: SecretLink) -> dict[str, str]:
    """The addresses of their calendar, if the office has one switched on."""
    feed = find_link_for(Purpose.TRADE_FEED, contact=link.contact, now=timezone.now())
    if feed is None:
        return {}
    address = request.build_absolute_uri(address_path(feed))
    return {"https": address, "webcal": address.replace("https://", "webcal://").replace("http://", "webcal://")}

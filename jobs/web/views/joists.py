"""How large a hole or notch a joist takes, by each published rule."""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from jobs.core.cautions import STRUCTURE
from jobs.core.electrics.joists import Joist, Verdict, judge_hole, judge_notch
from jobs.web.access import firm_only
from jobs.web.forms.joists import JoistForm
from jobs.web.kept_pages import render_kept


@never_cache
@firm_only
@require_GET
def joists(request: HttpRequest) -> HttpResponse:
    """The limits may be kept on a phone; a joist judged needs the server."""
    form = JoistForm(request.GET or None)
    verdicts = _judge(form.cleaned_data) if form.is_valid() else []
    page = {
        "made_at": timezone.now().isoformat(timespec="milliseconds"), "form": form, "verdicts": verdicts,
        "cautions": [STRUCTURE],
    }
    return render_kept(request, "site/joists.html", page, is_kept=not request.GET)


def _judge(given: dict[str, object]) -> list[Verdict]:
    joist = Joist(given["span_mm"], given["depth_mm"])
    size, place, gap = given["size_mm"], given["place_mm"], given["gap_mm"]
    if given["what"] == "notch":
        return judge_notch(joist, size, place, hole_gap_mm=gap)
    return judge_hole(joist, size, place, spacing_mm=given["spacing_mm"], notch_gap_mm=gap)

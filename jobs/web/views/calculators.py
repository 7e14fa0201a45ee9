"""Calculators of the site on one page, whose limits stay readable without signal."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from jobs.core.electrics import calculators as core
from jobs.core.electrics.rule_book import every_rule
from jobs.core.electrics.rules import CAUTION, EDITION_NOTE, Rule
from jobs.web.access import firm_only
from jobs.web.forms.calculators import BathroomForm, CalculatorForm, ClipsForm, RingForm, ZonesForm
from jobs.web.kept_pages import render_kept


@dataclass(frozen=True)
class Calculator:
    form: CalculatorForm
    title: str
    limits: tuple[Rule, ...]
    answer: core.Answer | None

    @property
    def is_open(self) -> bool:
        return self.form.is_bound


CALCULATORS = (
    (ZonesForm, "Zones for cable in a wall", core.ZONE_LIMITS), (ClipsForm, "Clips", core.CLIP_LIMITS),
    (RingForm, "Readings of a ring by its length", core.RING_LIMITS),
    (BathroomForm, "Zones of a bathroom", core.BATH_LIMITS),
)


@never_cache
@firm_only
@require_GET
def calculators(request: HttpRequest) -> HttpResponse:
    """All of them with their limits; `what` names the one asked."""
    page = {
        "made_at": timezone.now().isoformat(timespec="milliseconds"), "edition_note": EDITION_NOTE, "caution": CAUTION,
        "calculators": [_calculator(request, *one) for one in CALCULATORS],
    }
    return render_kept(request, "site/calculators.html", page, is_kept=not request.GET)


@never_cache
@firm_only
@require_GET
def site_rules(request: HttpRequest) -> HttpResponse:
    """Every row a figure can come from, for the crew."""
    page = {
        "made_at": timezone.now().isoformat(timespec="milliseconds"), "edition_note": EDITION_NOTE, "caution": CAUTION,
        "rules": every_rule().values(),
    }
    return render(request, "site/calculators_rules.html", page | {"keeps_pages": False})


def _calculator(
    request: HttpRequest, form_class: type[CalculatorForm], title: str, limits: tuple[Rule, ...]
) -> Calculator:
    form = form_class(request.GET if request.GET.get("what") == form_class.slug else None)
    return Calculator(form, title, limits, form.answer() if form.is_valid() else None)

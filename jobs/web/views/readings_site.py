"""Readings on the phone: each circuit with its limits, to be entered with or without signal."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from jobs.core.cautions import LIVE_TESTS, SAFE_ISOLATION
from jobs.core.electrics.rules import CAUTION, EDITION_NOTE
from jobs.core.electrics.under_test import LIVE_TESTS as LIVE_MEASURES
from jobs.core.electrics.under_test import WhenTested
from jobs.queries.circuits import load_schedule
from jobs.queries.power_gate import list_power_holds, list_power_overrides
from jobs.queries.readings import find_last_instrument, list_instruments, load_sheets, why_not_testing
from jobs.web.access import firm_only
from jobs.web.clock import today_of
from jobs.web.getters import get_job_or_404
from jobs.web.kept_pages import render_kept
from jobs.web.views.readings import when_or_404


@never_cache
@firm_only
@require_GET
def site_readings(request: HttpRequest, pk: int, when: str) -> HttpResponse:
    made_at, job, when = timezone.now().isoformat(timespec="milliseconds"), get_job_or_404(request, pk), when_or_404(when)
    is_end, today, schedule = when == WhenTested.END, today_of(request), load_schedule(job)
    sheets, overrides = load_sheets(job, when, schedule), list_power_overrides(job) if is_end else []
    page = {
        "made_at": made_at, "job": job, "when": when, "sheets": sheets, "new_id": uuid.uuid4, "schedule": schedule,
        "supply": schedule.supply_sheet, "overrides": overrides,
        "power_holds": list_power_holds(schedule.supply_sheet, sheets, overrides) if is_end else [],
        "instruments": list_instruments(job.firm_id).filter(is_retired=False), "today": today,
        "instrument": find_last_instrument(request.user, today), "why_not": why_not_testing(request.user, when, today),
        "live_measures": LIVE_MEASURES, "cautions": [SAFE_ISOLATION, LIVE_TESTS] if is_end else [SAFE_ISOLATION],
        "caution": CAUTION, "edition_note": EDITION_NOTE,
    }
    return render_kept(request, "site/readings.html", page)

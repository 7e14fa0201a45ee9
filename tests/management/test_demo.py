"""The invented firm, told once from survey to issued plan."""

from datetime import date
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import call_command
from django.db.models import Sum

from jobs.core.stages import Stage
from jobs.management.demo import plan as demo_plan
from jobs.models import (
    Absence,
    DeadlineMark,
    Job,
    Notice,
    Photo,
    Plan,
    Snag,
    StockMove,
    VariationAnswer,
    Visit,
    WorkedHours,
    WorkPackage,
)
from jobs.queries.centres import list_unmeasured

pytestmark = [pytest.mark.once, pytest.mark.django_db(transaction=True)]

TUESDAY = date(2027, 1, 12)


def test_three_houses_are_planned_issued_and_printed_when_the_demo_is_made(monkeypatch):
    monkeypatch.setattr(demo_plan, "PLAN_SECONDS", 1)
    out = StringIO()

    call_command("demo", no_serve=True, fresh=True, today=TUESDAY, stdout=out)

    assert "Tue 12 Jan" in out.getvalue()
    assert {plan.state for plan in Plan.objects.all()} == {Plan.State.ISSUED, Plan.State.DRAFT}
    assert Job.objects.filter(state=Job.State.ON_SITE).count() == 3
    assert Notice.objects.filter(contact__isnull=False).exists()
    assert Visit.objects.filter(state=Visit.State.ACCEPTED).exists()
    assert StockMove.objects.filter(reason=StockMove.Reason.USE).exists()
    assert {photo.room.job.name for photo in Photo.objects.all()} == {job.name for job in Job.objects.all()}
    assert Snag.objects.filter(photo__isnull=False).exists()
    assert Absence.objects.filter(source__name="College timetable").exists()
    assert VariationAnswer.objects.get().is_agreed
    assert DeadlineMark.objects.get().is_done
    assert 0 < max(_hours_of_days()) <= 10
    assert not list_unmeasured(Job.objects.filter(name="26 Kiln Close").values_list("pk", flat=True)).exists()
    assert _finished_stages("9 Tanner's Row") == {Stage.STRIP_OUT, Stage.FIRST_FIX}
    assert _finished_stages("26 Kiln Close") == {Stage.STRIP_OUT, Stage.FIRST_FIX}


def _hours_of_days() -> list[Decimal]:
    days = WorkedHours.objects.values("person", "on").annotate(whole=Sum("hours"))
    return [day["whole"] for day in days]


def _finished_stages(name: str) -> set[str]:
    done = WorkPackage.objects.filter(job__name=name, finished_at__isnull=False)
    return set(done.values_list("stage", flat=True))

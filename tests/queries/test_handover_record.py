from datetime import date

import pytest

from jobs.core.handover import Part
from jobs.models import Handover, Item, MaterialNeed
from jobs.queries.handover import load_pack
from jobs.queries.handover_record import WITHOUT_WARRANTY
from tests.factories import NOW, make_area, make_firm, make_item, make_job, make_package

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.fixture
def job():
    job = make_job(make_firm(), "Mill Row")
    package = make_package(make_area(job))
    for code in ("alarm", "box"):
        MaterialNeed.objects.create(firm=job.firm, package=package, item=make_item(job.firm, code, name=code), quantity=4)
    return job


def materials(job) -> str:
    job.refresh_from_db()
    blocks = next(one for one in load_pack(job, NOW).sections if one.part == Part.MATERIALS).blocks
    return " | ".join(str(block) for block in blocks)


def give_warranty(job, months: int = 60) -> None:
    Item.objects.filter(firm=job.firm, code="alarm").update(warranty_months=months, warranty_needs="receipt kept")


def test_warranty_of_an_item_stands_with_its_months_and_what_keeps_it(job):
    give_warranty(job)

    assert "('alarm', '60 months', 'receipt kept')" in materials(job)
    assert WITHOUT_WARRANTY not in materials(job)


def test_warranty_is_counted_from_the_finish_when_the_work_is_finished(job):
    give_warranty(job, 1)
    job.finished_on = date(2027, 1, 31)
    job.save()

    assert "1 month, to 28 February 2027" in materials(job)


def test_pack_says_that_nothing_is_known_when_no_item_has_a_warranty(job):
    assert WITHOUT_WARRANTY in materials(job)


def test_words_of_the_office_stand_below_the_items(job):
    give_warranty(job)
    Handover.objects.create(firm=job.firm, job=job, warranties="Workmanship: two years.")

    assert materials(job).index("receipt kept") < materials(job).index("Workmanship: two years.")

"""The bench of the guards: what it needs, and that they stand again afterwards."""

import pytest
from django.db import connection

from jobs.management.bench import BenchError
from jobs.management.bench.guards import _no_guards, run
from jobs.models import Job
from rewire.named_firm import work_for
from tests.factories import make_firm, make_job


def test_nothing_is_measured_when_the_database_has_no_guards() -> None:
    with pytest.raises(BenchError, match="Only PostgreSQL"):
        run(print, firms=1, repeats=1, database="")


@pytest.mark.django_db(transaction=True)
@pytest.mark.postgresql
def test_guards_stand_again_when_they_were_off_for_a_while() -> None:
    job = make_job(make_firm())
    make_job(make_firm("Another firm"))
    tellers = list(connection.execute_wrappers)
    with work_for(job.firm_id):
        with _no_guards():
            assert Job.objects.count() == 2
        assert Job.objects.get() == job
    assert connection.execute_wrappers == tellers

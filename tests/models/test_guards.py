"""What PostgreSQL shows and takes while a firm is named, however a query is written."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.apps import apps
from django.db import Error, connection, transaction

from jobs import outbox
from jobs.models import Area, Firm, Job, OutboxEntry
from jobs.models.guards import POLICY, UNGUARDED, build_guards
from rewire.named_firm import name_firm, named_firm, work_for
from tests.factories import NOW, make_firm, make_job
from tests.rows import Rows

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]
OF_NO_FIRM = {"jobs_attemptcount", "jobs_user_groups", "jobs_user_user_permissions"}
"""Sign-in attempts by address, and Django's own groups and permissions, which nobody is given here."""
REFUSED = "row-level security"


def test_every_table_of_a_firm_is_guarded_when_the_database_is_built() -> None:
    """A new model without a firm, or a table somebody forgot, is named here."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT relname FROM pg_class WHERE relkind = 'r' AND relname LIKE 'jobs!_%%' ESCAPE '!' "
            "AND NOT (relrowsecurity AND relforcerowsecurity "
            "AND EXISTS (SELECT 1 FROM pg_policy WHERE polrelid = pg_class.oid AND polname = %s))",
            [POLICY],
        )
        assert {table for (table,) in cursor.fetchall()} == OF_NO_FIRM


def test_rows_of_every_model_are_their_firms_alone_when_a_firm_is_named() -> None:
    rows = Rows(make_firm())
    models = [model for model in apps.get_app_config("jobs").get_models() if model.__name__ not in UNGUARDED]
    made = {model: rows[model].pk for model in models}
    with work_for(make_firm("Another firm").pk):
        assert [model.__name__ for model, pk in made.items() if model.objects.filter(pk=pk).exists()] == []
    with work_for(rows.firm.pk):
        assert [model.__name__ for model, pk in made.items() if not model.objects.filter(pk=pk).exists()] == []


def test_only_own_rows_are_shown_when_a_query_forgot_its_firm(mine: Job, theirs: Job) -> None:
    with work_for(mine.firm_id):
        assert [list(Job.objects.all()), list(Firm.objects.all())] == [[mine], [mine.firm]]
        with connection.cursor() as cursor:
            cursor.execute("SELECT name FROM jobs_job")
            assert cursor.fetchall() == [("Mine",)]


def test_every_row_is_shown_when_no_firm_is_named(mine: Job, theirs: Job) -> None:
    assert set(Job.objects.all()) == {mine, theirs}


def test_row_of_no_firm_is_shown_when_a_firm_is_named(mine: Job) -> None:
    """Work done for all firms, which the office sees when it failed."""
    entry = outbox.enqueue(key="for all", task="close_books", payload={}, due_at=NOW, firm=None)
    with work_for(mine.firm_id):
        assert OutboxEntry.objects.get() == entry


def test_new_row_is_refused_when_it_is_another_firms(mine: Job, theirs: Job) -> None:
    with work_for(mine.firm_id), pytest.raises(Error, match=REFUSED), transaction.atomic():
        make_job(theirs.firm)


def test_change_finds_nothing_when_the_row_is_another_firms(mine: Job, theirs: Job) -> None:
    with work_for(mine.firm_id):
        assert Job.objects.filter(pk=theirs.pk).update(name="Taken") == 0
        assert Job.objects.filter(pk=theirs.pk).delete()[0] == 0
    theirs.refresh_from_db()
    assert theirs.name == "Theirs"


def test_change_is_refused_when_it_gives_a_row_away(mine: Job, theirs: Job) -> None:
    with work_for(mine.firm_id), pytest.raises(Error, match=REFUSED), transaction.atomic():
        Job.objects.filter(pk=mine.pk).update(firm_id=theirs.firm_id)


def test_pointer_is_refused_when_its_row_is_hidden(mine: Job, theirs: Job) -> None:
    with work_for(mine.firm_id), pytest.raises(Error, match="another firm"), transaction.atomic():
        Area.objects.create(firm_id=mine.firm_id, job_id=theirs.pk, name="Loft")


def test_firm_is_forgotten_when_the_work_for_it_raises(mine: Job, theirs: Job) -> None:
    with pytest.raises(Job.DoesNotExist), work_for(mine.firm_id):
        Job.objects.get(pk=theirs.pk)
    assert (named_firm(), Job.objects.count()) == (None, 2)


def test_firm_is_forgotten_when_the_database_refused_within(mine: Job, theirs: Job) -> None:
    with pytest.raises(Error), transaction.atomic(), work_for(mine.firm_id):
        connection.cursor().execute("SELECT 1/0")
    assert Job.objects.count() == 2


def test_firm_before_is_back_when_work_for_another_ends(mine: Job, theirs: Job) -> None:
    with work_for(mine.firm_id):
        with work_for(theirs.firm_id):
            assert Job.objects.get() == theirs
        assert Job.objects.get() == mine


def test_firm_named_on_the_way_is_forgotten_when_the_work_around_it_ends(mine: Job, theirs: Job) -> None:
    with work_for(None):
        assert Job.objects.count() == 2
        name_firm(mine.firm_id)
        assert Job.objects.get() == mine
    assert Job.objects.count() == 2


@pytest.mark.parametrize("begins_within", [True, False])
def test_guard_holds_when_what_was_written_is_rolled_back(mine: Job, theirs: Job, begins_within: bool) -> None:
    """A rollback takes back what the session was told since; here first within the transaction, then before it."""
    with work_for(mine.firm_id):
        if not begins_within:
            assert Job.objects.count() == 1
        with transaction.atomic():
            Job.objects.update(name="Not for long")
            transaction.set_rollback(True)
        assert Job.objects.get().name == "Mine"


def test_no_guard_stays_when_its_end_is_rolled_back(mine: Job, theirs: Job) -> None:
    with work_for(mine.firm_id):
        assert Job.objects.count() == 1
    with transaction.atomic():
        assert Job.objects.count() == 2
        transaction.set_rollback(True)
    assert Job.objects.count() == 2


def test_session_is_told_once_when_many_queries_follow(mine: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    told = []
    monkeypatch.setattr(connection, "_tell", lambda firm: (told.append(firm), setattr(connection, "_told", firm)))
    with work_for(mine.firm_id):
        assert [Job.objects.exists() for _ in range(3)] == [True] * 3
    with work_for(mine.firm_id):
        pass
    assert told == [mine.firm_id]


def test_guards_are_left_alone_when_they_stand(django_assert_num_queries) -> None:
    with django_assert_num_queries(2):  # what stands, and which tables there are
        build_guards()


def test_guard_is_built_again_when_it_was_taken_down() -> None:
    connection.cursor().execute(f"DROP POLICY {POLICY} ON jobs_job")
    build_guards()
    with connection.cursor() as cursor:
        cursor.execute("SELECT polname FROM pg_policy WHERE polrelid = 'jobs_job'::regclass")
        assert cursor.fetchall() == [(POLICY,)]


@pytest.mark.django_db(transaction=True)
def test_guard_holds_when_the_connection_is_lost_and_made_anew(mine: Job, theirs: Job) -> None:
    with work_for(mine.firm_id):
        assert Job.objects.count() == 1
        connection.close()
        assert Job.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_session_left_by_somebody_else_is_told_anew_when_it_is_taken_over(mine: Job, theirs: Job) -> None:
    """A pool hands out sessions as they were left."""
    left = connection.get_new_connection
    connection.close()

    def pooled(parameters: dict) -> object:
        session = left(parameters)
        session.execute("SELECT set_config('rewire.firm', %s, false)", [str(theirs.firm_id)])
        session.commit()
        return session

    connection.get_new_connection = pooled
    try:
        assert Job.objects.count() == 2
    finally:
        del connection.get_new_connection
        connection.close()


@pytest.mark.django_db(transaction=True)
def test_each_thread_has_its_own_firm_when_two_work_at_once(mine: Job, theirs: Job) -> None:
    def names(firm_pk: int) -> set[str]:
        try:
            with work_for(firm_pk):
                return {name for _ in range(20) for name in Job.objects.values_list("name", flat=True)}
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool, work_for(mine.firm_id):
        assert list(pool.map(names, [mine.firm_id, theirs.firm_id])) == [{"Mine"}, {"Theirs"}]


def test_error_is_the_first_one_when_a_firm_is_named_in_a_broken_transaction(mine: Job) -> None:
    """The session takes nothing until the transaction is rolled back, so it is told nothing."""
    with transaction.atomic(), connection.cursor() as cursor:
        with pytest.raises(Error, match="division by zero"):
            cursor.execute("SELECT 1/0")
        with work_for(mine.firm_id), pytest.raises(Error, match="atomic block|aborted"):
            cursor.execute("SELECT 1")
        transaction.set_rollback(True)
    assert Job.objects.get() == mine


def test_task_sees_its_firm_alone_when_it_is_run(mine: Job, theirs: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    seen = []
    outbox._load_tasks()
    monkeypatch.setattr(outbox, "_tasks", {})
    outbox.slow_task("look")(lambda: seen.append(Job.objects.count()) or (lambda: seen.append(Job.objects.count())))
    for key, firm in (("own", mine.firm), ("all", None)):
        outbox.enqueue(key=key, task="look", payload={}, due_at=NOW, firm=firm)
    assert outbox.run_due(NOW) == 2
    assert seen == [1, 1, 2, 2]


def test_next_task_sees_all_firms_when_the_one_before_failed(mine: Job, theirs: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    outbox._load_tasks()
    monkeypatch.setattr(outbox, "_tasks", {})
    outbox.task("fail")(lambda: Job.objects.get(name="Theirs"))
    entry = outbox.enqueue(key="own", task="fail", payload={}, due_at=NOW, firm=mine.firm)
    assert outbox.run_due(NOW) == 1
    entry.refresh_from_db()
    assert (entry.last_error.split(":")[0], Job.objects.count()) == ("DoesNotExist", 2)

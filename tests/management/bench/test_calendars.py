import json

import pytest

from jobs.management.bench import calendars

pytestmark = [pytest.mark.once, pytest.mark.django_db(transaction=True)]


def test_the_last_line_is_json_when_everything_was_measured(settings):
    settings.MIGRATION_MODULES = {}  # the test run makes its own tables without migrations
    told = []
    calendars.run(told.append, events=[30], recipients=2, repeats=2)
    found = json.loads(told[-1])["calendars"]
    assert found["feeds"][0]["events"] == 30
    assert (found["feeds"][0]["kilobytes"] > 5, found["issue"]["recipients"]) == (True, 2)

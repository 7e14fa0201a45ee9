from datetime import timedelta

import pytest

from jobs.models import Plan, Span
from jobs.queries.order_effects import load_effects
from tests.factories import TODAY, make_area, make_package, make_plan

pytestmark = pytest.mark.django_db


class Waits:
    """Stands for a package that waits."""

    def __init__(self, package):
        self.package = package


def plan(store, state, package, on):
    plan = make_plan(store.firm, state)
    Span.objects.create(firm=store.firm, plan=plan, package=package, starts_on=on, starts_half="am", ends_on=on, ends_half="pm")


def test_what_the_draft_moves_is_told_with_both_days(store):
    package = make_package(make_area(store.job))
    plan(store, Plan.State.ISSUED, package, TODAY)
    plan(store, Plan.State.DRAFT, package, TODAY + timedelta(days=6))
    (moved,) = load_effects(store.firm, [Waits(package), Waits(package)]).moved
    assert (moved.issued_on, moved.draft_on) == (TODAY, TODAY + timedelta(days=6))


def test_nothing_has_moved_while_there_is_no_draft(store):
    package = make_package(make_area(store.job))
    plan(store, Plan.State.ISSUED, package, TODAY)
    assert load_effects(store.firm, [Waits(package)]).moved == []

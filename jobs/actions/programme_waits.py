"""What waits for what in a job: the firm's template, and a person's own additions and exceptions."""

from collections.abc import Iterable

from django.db import transaction

from jobs.actions.permission import Refused, require_office
from jobs.core.drying import Air, DryingRule, drying_days
from jobs.core.stages import Stage
from jobs.core.template import Node, Rule, Wait, find_way, list_waits
from jobs.models import Dependency, DependencyRule, Job, User, Visit, WorkPackage
from jobs.models import DryingRule as DryingRow

Activity = WorkPackage | Visit


@transaction.atomic
def add_dependency(
    *,
    before: Activity,
    after: Activity,
    by: User,
    kind: str = DependencyRule.Kind.FINISH_START,
    lag_sessions: int = 0,
    lag_days: int = 0,
    reason: str = "",
) -> Dependency:
    """Let `after` wait for `before`. A wait between the same two is replaced; a circle is refused."""
    require_office(by, before, after)
    if before.job_id != after.job_id:
        raise Refused("Both must belong to the same house. A wait between two houses is not possible.")
    rows = list(_rows(before.job))
    _refuse_circle([row for row in rows if not row.is_waived], before, after)
    Dependency.with_waived.filter(
        pk__in=[row.pk for row in rows if _row_key(row)[:2] == (_key(before), _key(after))]
    ).delete()
    return Dependency.objects.create(
        firm_id=before.firm_id, job=before.job, kind=kind, lag_sessions=lag_sessions, lag_days=lag_days,
        reason=reason, is_by_hand=True, **_ends(before, after),
    )


@transaction.atomic
def remove_dependency(*, dependency: Dependency, by: User) -> None:
    """Take a wait off this job. One that the template asks for is remembered as waived, so it does not come back."""
    require_office(by, dependency)
    if dependency.is_by_hand:
        dependency.delete()
    else:
        Dependency.objects.filter(pk=dependency.pk).update(is_waived=True)
    renew_waits(dependency.job)


def renew_waits(job: Job) -> None:
    """Bring the waits that come from the template up to the job's packages and visits.

    A cancelled visit keeps its waits: it may be opened again, and the planner looks past it until then.
    """
    packages = {row.pk: row for row in WorkPackage.objects.filter(job=job)}
    visits = {row.pk: row for row in Visit.objects.filter(job=job).select_related("kind")}
    nodes = [*map(_package_node, packages.values()), *map(_visit_node, visits.values())]
    waits = {wait.key: wait for wait in _template_waits(job, nodes)}
    rows = {_row_key(row): row for row in _rows(job)}
    from_template = [row for row in rows.values() if not (row.is_by_hand or row.is_waived)]
    Dependency.objects.filter(pk__in=[row.pk for row in from_template if _row_key(row) not in waits]).delete()
    _update_lags(from_template, waits)
    Dependency.objects.bulk_create(
        _row(job, wait, packages, visits) for key, wait in _without_circles(waits, rows) if key not in rows
    )


def _template_waits(job: Job, nodes: list[Node]) -> list[Wait]:
    rules = [
        Rule(
            row.before, row.after, row.kind, row.lag_sessions, row.lag_days, row.waits_for_plaster, row.same_area,
            row.reason,
        )
        for row in DependencyRule.objects.filter(firm=job.firm).order_by("pk")
    ]
    return list_waits(nodes, rules, drying_days=_drying_days(job))


def _drying_days(job: Job) -> int:
    row = DryingRow.objects.filter(firm=job.firm, system=job.plaster_system).first()
    if row is None:
        raise Refused(
            f"The drying table has no plaster “{job.plaster_system}”. Choose another on the job, or add it to the "
            "catalogue.",
            field="plaster_system",
        )
    rule = DryingRule(row.minimum_days, row.cold_minimum_days, row.days_per_mm, row.cold_days_per_mm)
    return drying_days(rule, job.plaster_thickness_mm, Air.COLD if job.is_cold_or_damp else Air.WARM)


def _update_lags(rows: Iterable[Dependency], waits: dict[tuple[str, str, str], Wait]) -> None:
    changed = []
    for row in rows:
        wait = waits.get(_row_key(row))
        if wait and (row.lag_sessions, row.lag_days, row.reason) != (wait.lag_sessions, wait.lag_days, wait.reason):
            row.lag_sessions, row.lag_days, row.reason = wait.lag_sessions, wait.lag_days, wait.reason
            changed.append(row)
    Dependency.objects.bulk_update(changed, ["lag_sessions", "lag_days", "reason"])


def _without_circles(
    waits: dict[tuple[str, str, str], Wait], rows: dict[tuple[str, str, str], Dependency]
) -> list[tuple[tuple[str, str, str], Wait]]:
    """The template's waits that close no circle with those a person added: the person's stand."""
    by_hand = [key[:2] for key, row in rows.items() if row.is_by_hand]
    if not by_hand:
        return list(waits.items())
    waived = {key for key, row in rows.items() if row.is_waived}
    pairs = [key[:2] for key in waits if key not in waived] + by_hand
    return [(key, wait) for key, wait in waits.items() if not find_way(pairs, key[1], key[0])]


def _refuse_circle(rows: Iterable[Dependency], before: Activity, after: Activity) -> None:
    if _key(before) == _key(after):
        raise Refused("Nothing can wait for itself. Choose two different things.")
    way = find_way([_row_key(row)[:2] for row in rows], _key(after), _key(before))
    if way:
        names = _names(before.job)
        chain = ", then ".join(names[key] for key in way)
        raise Refused(f"That would go in a circle: {chain} already come in this order. Take one of these waits away first.")


def _names(job: Job) -> dict[str, str]:
    packages = WorkPackage.objects.filter(job=job).select_related("area")
    visits = Visit.objects.filter(job=job).select_related("kind", "area")
    return {_key(row): str(row) for row in (*packages, *visits)}


def _rows(job: Job) -> Iterable[Dependency]:
    return Dependency.with_waived.filter(job=job).order_by("pk")


def _key(row: Activity) -> str:
    return f"package:{row.pk}" if isinstance(row, WorkPackage) else f"visit:{row.pk}"


def _row_key(row: Dependency) -> tuple[str, str, str]:
    before = f"package:{row.before_package_id}" if row.before_package_id else f"visit:{row.before_visit_id}"
    after = f"package:{row.after_package_id}" if row.after_package_id else f"visit:{row.after_visit_id}"
    return before, after, row.kind


def _package_node(row: WorkPackage) -> Node:
    return Node(_key(row), row.stage, None if row.stage == Stage.TEST else row.area_id)


def _visit_node(row: Visit) -> Node:
    return Node(_key(row), row.kind.code, row.area_id)


def _row(job: Job, wait: Wait, packages: dict[int, WorkPackage], visits: dict[int, Visit]) -> Dependency:
    return Dependency(
        firm=job.firm, job=job, kind=wait.kind, lag_sessions=wait.lag_sessions, lag_days=wait.lag_days,
        reason=wait.reason, **_ends(_find(wait.before, packages, visits), _find(wait.after, packages, visits)),
    )


def _find(key: str, packages: dict[int, WorkPackage], visits: dict[int, Visit]) -> Activity:
    name, pk = key.split(":")
    return (packages if name == "package" else visits)[int(pk)]


def _ends(before: Activity, after: Activity) -> dict[str, Activity]:
    before_end = "before_package" if isinstance(before, WorkPackage) else "before_visit"
    after_end = "after_package" if isinstance(after, WorkPackage) else "after_visit"
    return {before_end: before, after_end: after}

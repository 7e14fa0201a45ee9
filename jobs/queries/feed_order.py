"""What waits for what, as relations between events: RFC 9253 section 4 puts them with the one that comes first."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

from jobs.core.events import CalendarEvent, Order, Relation
from jobs.models import Booking, CalendarEntry, Dependency, DependencyRule, Firm, Job
from jobs.queries.plans import find_issued

ORDERS = {
    DependencyRule.Kind.FINISH_START: Order.FINISH_TO_START,
    DependencyRule.Kind.START_START: Order.START_TO_START,
}
Ends = tuple[str, str]
"""UIDs of the events that a package or a visit begins and ends with."""


def put_in_order(events: Iterable[CalendarEvent], firm: Firm, *, job: Job | None) -> list[CalendarEvent]:
    """Each event with those of the others that wait for it, by the plan that is issued; four queries.

    A wait of half days that must be worked in between has no gap: a gap is time that passes.
    """
    events = list(events)
    shown, relations = {event.uid for event in events}, _load_relations(firm, job)
    return [
        replace(event, relations=tuple(each for each in relations.get(event.uid, ()) if each.uid in shown)) for event in events
    ]


def _load_relations(firm: Firm, job: Job | None) -> dict[str, list[Relation]]:
    mine = {"firm": firm, "job": job} if job else {"firm": firm}
    packages, visits = _load_package_ends(firm), _load_visit_ends(firm)
    relations: dict[str, list[Relation]] = defaultdict(list)
    for row in Dependency.objects.filter(**mine, kind__in=ORDERS).order_by("pk"):
        before = packages.get(row.before_package_id) or visits.get(row.before_visit_id)
        after = packages.get(row.after_package_id) or visits.get(row.after_visit_id)
        if before and after:
            order = ORDERS[row.kind]
            uid = before[1] if order == Order.FINISH_TO_START else before[0]
            if uid != after[0]:
                relations[uid].append(Relation(order, after[0], row.lag_days))
    return relations


def _load_package_ends(firm: Firm) -> dict[int, Ends]:
    """Package pk → the entries of whoever is named first on its first and on its last day."""
    plan = find_issued(firm)
    bookings = Booking.objects.filter(plan=plan).select_related("package").order_by("on", "person_id") if plan else ()
    uids = dict(CalendarEntry.objects.filter(firm=firm, person__isnull=False, is_gone=False).values_list("key", "uid"))
    days: dict[int, dict[object, str]] = defaultdict(dict)
    for row in bookings:
        key = f"person:{row.person_id}:{row.on}:{row.package.job_id}"
        if key in uids:
            days[row.package_id].setdefault(row.on, str(uids[key]))
    return {package: (of_day[min(of_day)], of_day[max(of_day)]) for package, of_day in days.items()}


def _load_visit_ends(firm: Firm) -> dict[int, Ends]:
    """Visit pk → the entries of its first and of its last unbroken run."""
    rows = CalendarEntry.objects.filter(firm=firm, visit__isnull=False, is_gone=False).order_by("starts_at")
    runs: dict[int, list[str]] = defaultdict(list)
    for visit, uid in rows.values_list("visit_id", "uid"):
        runs[visit].append(str(uid))
    return {visit: (uids[0], uids[-1]) for visit, uids in runs.items()}

"""The work as the planner sees it: packages with what is left of them, visits, and what waits for what."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import chain, islice
from math import ceil
from zoneinfo import ZoneInfo

from django.db.models import Case, Count, F, Max, Min, OuterRef, Q, Subquery, Sum, When
from django.db.models.query import QuerySet

from jobs.core.planning import problem as core
from jobs.core.stages import WORKED_STAGES, Half, Stage
from jobs.core.workdays import Sessions
from jobs.models import (
    Area,
    ContactAway,
    Dependency,
    Firm,
    Job,
    PersonChoice,
    RoomTask,
    SuggestedDay,
    ToldDate,
    Visit,
    WorkPackage,
)
from jobs.queries.planning_keys import area_key, job_key, package_key, person_key, visit_key

PLANNED_STATES = (Job.State.BOOKED, Job.State.ON_SITE)
VISITS_FIXED = (Visit.State.ACCEPTED, Visit.State.DONE, Visit.State.CANCELLED)
"""No date of these is the office's alone to choose."""

CLOSING_HOURS = 0.25
"""What a package still takes when all its labour is ticked but a check of no labour is not (common practice, no source)."""


@dataclass(frozen=True)
class Progress:
    """How far a package's ticks have come: share of its labour, whether every line is done, first and last tick."""

    share: float = 0.0
    is_all_done: bool = False
    first_at: datetime | None = None
    last_at: datetime | None = None


@dataclass(frozen=True)
class Work:
    """The rows of all planned jobs, each kind fetched once."""

    jobs: Mapping[int, Job]
    areas: tuple[Area, ...]
    packages: tuple[WorkPackage, ...]
    progress: Mapping[int, Progress]
    visits: tuple[Visit, ...]
    dependencies: tuple[Dependency, ...]
    choices: tuple[PersonChoice, ...]
    declined: Mapping[int, frozenset[date]]
    suggested: Mapping[int, tuple[tuple[date, Half], ...]]
    times_away: Mapping[int, tuple[ContactAway, ...]]
    zone: ZoneInfo

    def left_hours(self, row: WorkPackage) -> float:
        """Electrician hours still to do: the contractor's figure if there is one, less the share ticked."""
        total = float(row.labour_hours if row.corrected_hours is None else row.corrected_hours)
        return max(total * (1 - self._progress(row).share), CLOSING_HOURS)

    def done_on(self, row: WorkPackage) -> date | None:
        if row.finished_at:
            return self._day(row.finished_at)
        progress = self._progress(row)
        return self._day(progress.last_at) if progress.is_all_done and progress.last_at else None

    def started_on(self, row: WorkPackage) -> date | None:
        first_at = self._progress(row).first_at
        return self._day(first_at) if first_at else None

    def total_hours(self) -> float:
        return sum(self.left_hours(row) for row in self.packages if self.done_on(row) is None)

    def _progress(self, row: WorkPackage) -> Progress:
        return self.progress.get(row.pk, Progress())

    def _day(self, moment: datetime) -> date:
        return moment.astimezone(self.zone).date()


def load_work(firm: Firm) -> Work:
    in_work = {"firm": firm, "job__state__in": PLANNED_STATES}
    packages = WorkPackage.objects.filter(**in_work, stage__in=WORKED_STAGES).select_related("area").order_by("pk")
    packages = packages.exclude(labour_hours=0, corrected_hours=None)
    return Work(
        jobs={job.pk: job for job in Job.objects.filter(firm=firm, state__in=PLANNED_STATES).select_related("customer")},
        areas=tuple(Area.objects.filter(**in_work)),
        packages=tuple(packages),
        progress=load_progress(RoomTask.objects.filter(firm=firm, package__job__state__in=PLANNED_STATES)),
        visits=tuple(
            Visit.objects.filter(**in_work).select_related("kind", "area", "contact").order_by("pk")
        ),
        dependencies=tuple(Dependency.objects.filter(**in_work).order_by("pk")),
        choices=tuple(PersonChoice.objects.filter(**in_work)),
        declined=_load_declined(firm),
        suggested=load_suggested(firm),
        times_away=_load_times_away(firm),
        zone=ZoneInfo(firm.zone),
    )


def load_progress(tasks: QuerySet[RoomTask]) -> dict[int, Progress]:
    """Package pk → progress, folded from its lines; a line that is not needed counts as done."""
    share = Case(When(~Q(not_needed=""), then=Decimal(1)), default=F("done_share"))
    rows = tasks.filter(is_withdrawn=False).order_by().values("package_id").annotate(
        labour=Sum("labour_hours"),
        done=Sum(F("labour_hours") * share),
        lines=Count("pk"),
        lines_done=Count("pk", filter=Q(done_share__gte=1) | ~Q(not_needed="")),
        first_at=Min("done_at", filter=Q(done_share__gt=0)),
        last_at=Max("done_at"),
    )
    return {
        row["package_id"]: Progress(
            share=float(row["done"] / row["labour"]) if row["labour"] else 0.0,
            is_all_done=row["lines"] == row["lines_done"],
            first_at=row["first_at"],
            last_at=row["last_at"],
        )
        for row in rows
    }


def core_packages(
    work: Work, sessions: Sessions, arrivals: Mapping[int, date]
) -> tuple[core.Package, ...]:
    """Every package of the planned jobs. `arrivals`: package pk → first day its goods are here."""
    preferred, excluded = _choices(work.choices)
    return tuple(
        core.Package(
            key=package_key(row.pk),
            job=job_key(row.job_id),
            stage=Stage(row.stage),
            area=area_key(row.area_id),
            title=str(row),
            labour_hours=round(work.left_hours(row), 3),
            mixes=accepted_mixes(row.most_people),
            helper_grade=_helper_grade(row.stage),
            needs_tester=row.stage == Stage.TEST,
            must_close_same_day=row.closes_same_day,
            not_before=_not_before(sessions, row.not_before_on, work.jobs[row.job_id].earliest_start_on),
            preferred=preferred[row.job_id],
            excluded=excluded[row.job_id],
            keeps_clear=_kept_clear(row, work.areas),
            arrivals=_arrivals(row, sessions, arrivals),
            started_on=work.started_on(row),
            done_on=work.done_on(row),
        )
        for row in work.packages
    )


def accepted_mixes(most_people: int) -> tuple[core.Mix, ...]:
    """Crews a package accepts: one electrician up to `most_people` in all, never more helpers than electricians."""
    return tuple(
        core.Mix(electricians, helpers)
        for electricians in range(1, most_people + 1)
        for helpers in range(0, min(electricians, most_people - electricians) + 1)
    )


def _helper_grade(stage: str) -> core.Grade:
    """A labourer chases and carries; fitting and testing want someone in the trade (common practice, no source)."""
    return core.Grade.LABOURER if stage in {Stage.STRIP_OUT, Stage.FIRST_FIX} else core.Grade.APPRENTICE


def _choices(choices: Iterable[PersonChoice]) -> tuple[dict[int, frozenset[str]], dict[int, frozenset[str]]]:
    preferred: dict[int, frozenset[str]] = defaultdict(frozenset)
    excluded: dict[int, frozenset[str]] = defaultdict(frozenset)
    for choice in choices:
        chosen = excluded if choice.is_excluded else preferred
        chosen[choice.job_id] |= {person_key(choice.person_id)}
    return preferred, excluded


def _kept_clear(row: WorkPackage, areas: Iterable[Area]) -> frozenset[str]:
    """With boards open, nobody works in the area or on the floor below it."""
    if not row.has_boards_open:
        return frozenset()
    below = (area for area in areas if area.job_id == row.job_id and area.level == row.area.level - 1)
    return frozenset({area_key(row.area_id), *(area_key(area.pk) for area in below)})


def _arrivals(row: WorkPackage, sessions: Sessions, arrivals: Mapping[int, date]) -> tuple[core.Arrival, ...]:
    if row.pk not in arrivals:
        return ()
    on = arrivals[row.pk]
    words = f"materials due {on:%a} {on.day} {on:%b}"
    return (core.Arrival(session=sessions.first_on_or_after(on), words=words),)


def _not_before(sessions: Sessions, *days: date | None) -> int:
    return max((sessions.first_on_or_after(day) for day in days if day), default=0)


def core_visits(work: Work, sessions: Sessions, today: date) -> tuple[core.Visit, ...]:
    return tuple(
        _visit(row, work, sessions, today) for row in work.visits if row.state != Visit.State.CANCELLED
    )


def _visit(row: Visit, work: Work, sessions: Sessions, today: date) -> core.Visit:
    closed = _closed(row, work, sessions)
    done_on = visit_done_on(row, sessions, closed, today)
    slot = sessions.first_on_or_after(row.starts_on, row.starts_half) if row.starts_on else None
    return core.Visit(
        key=visit_key(row.pk),
        job=job_key(row.job_id),
        trade=row.kind.get_trade_display(),
        title=str(row),
        length_sessions=visit_sessions(row),
        area=area_key(row.area_id) if row.area_id else "",
        closed=closed,
        declined=_declined(row, work, sessions),
        accepted=slot if row.state == Visit.State.ACCEPTED and done_on is None else None,
        asked=slot if row.state == Visit.State.ASKED else _suggested(row, work, sessions, closed, today),
        not_before=_not_before(sessions, row.not_before_on, _soonest_ask(row, work, today)),
        covers_up=row.kind.covers_up,
        done_on=done_on,
    )


def visit_sessions(row: Visit) -> int:
    return max(1, ceil(row.length_days * 2))


def visit_done_on(row: Visit, sessions: Sessions, closed: frozenset[int], today: date) -> date | None:
    """The last day of a visit that took place, or was accepted and should have by now."""
    if row.state not in {Visit.State.DONE, Visit.State.ACCEPTED} or row.starts_on is None:
        return None
    first = sessions.first_on_or_after(row.starts_on, row.starts_half)
    worked = (number for number in range(first, len(sessions)) if number == first or number not in closed)
    last = next(islice(worked, visit_sessions(row) - 1, None), len(sessions))
    ends_on = sessions.on(last) if row.starts_on >= sessions.first_on else row.starts_on
    return ends_on if row.state == Visit.State.DONE or ends_on < today else None


def _load_declined(firm: Firm) -> dict[int, frozenset[date]]:
    """Visit pk → every day its trade said it cannot start on, however often it was asked since."""
    against = (ToldDate.Answer.DECLINED, ToldDate.Answer.SUGGESTED)
    refused = ToldDate.objects.filter(firm=firm, answer__in=against, starts_on__isnull=False)
    days: dict[int, frozenset[date]] = defaultdict(frozenset)
    for visit, on in refused.filter(notice__contact=F("visit__contact")).values_list("visit_id", "starts_on"):
        days[visit] |= {on}
    return days


def load_suggested(firm: Firm) -> dict[int, tuple[tuple[date, Half], ...]]:
    """Visit pk → the days its trade suggests instead of the date they were last told, the earliest first."""
    days: dict[int, tuple[tuple[date, Half], ...]] = defaultdict(tuple)
    newest = ToldDate.objects.filter(visit=OuterRef("visit")).order_by("-told_at", "-pk").values("pk")[:1]
    rows = SuggestedDay.objects.filter(
        firm=firm, visit__state=Visit.State.DECLINED, told__answer=ToldDate.Answer.SUGGESTED, told=Subquery(newest),
        told__notice__contact=F("visit__contact"),
    )
    for visit, on, half in rows.order_by("on", "half").values_list("visit_id", "on", "half"):
        days[visit] += ((on, Half(half)),)
    return days


def _load_times_away(firm: Firm) -> dict[int, tuple[ContactAway, ...]]:
    """Contact pk → when they cannot work."""
    found: dict[int, tuple[ContactAway, ...]] = defaultdict(tuple)
    for row in ContactAway.objects.filter(firm=firm):
        found[row.contact_id] += (row,)
    return found


def _closed(row: Visit, work: Work, sessions: Sessions) -> frozenset[int]:
    """Sessions in which the visit's trade is away."""
    stretches = (_stretch(away, sessions) for away in work.times_away.get(row.contact_id, ()))
    return frozenset(chain.from_iterable(stretches))


def _stretch(away: ContactAway, sessions: Sessions) -> range:
    after_on = min(away.ends_on, sessions.last_on) + timedelta(days=1)
    return range(sessions.first_on_or_after(away.starts_on), sessions.first_on_or_after(after_on))


def _declined(row: Visit, work: Work, sessions: Sessions) -> frozenset[int]:
    """Sessions of those days, unless the trade has since agreed to one."""
    days = () if row.state == Visit.State.ACCEPTED else work.declined.get(row.pk, ())
    numbers = {sessions.index(on, half) for on in days for half in Half}
    numbers -= {sessions.index(on, half) for on, half in work.suggested.get(row.pk, ())}
    return frozenset(number for number in numbers if number is not None)


def _suggested(row: Visit, work: Work, sessions: Sessions, closed: frozenset[int], today: date) -> int | None:
    """The first session to come that the trade suggested itself: as good as a date they were asked for."""
    numbers = (sessions.index(on, half) for on, half in work.suggested.get(row.pk, ()) if on >= today)
    return next((number for number in numbers if number is not None and number not in closed), None)


def _soonest_ask(row: Visit, work: Work, today: date) -> date | None:
    """A trade wants to be asked ahead; one that was asked for, or suggested, a sooner day can still come then."""
    wanted = today + timedelta(days=row.kind.lead_days)
    if row.state in {Visit.State.PENCILLED, Visit.State.DECLINED}:
        return min([wanted, *(on for on, _ in work.suggested.get(row.pk, ()) if on >= today)])
    return min(wanted, row.starts_on) if row.state == Visit.State.ASKED else None


def core_links(work: Work) -> tuple[core.Link, ...]:
    """What waits for what; a cancelled visit hands its waits on to what waited for it."""
    known = {package_key(row.pk) for row in work.packages}
    known |= {visit_key(row.pk) for row in work.visits}
    gone = {visit_key(row.pk) for row in work.visits if row.state == Visit.State.CANCELLED}
    links = [link for link in map(_link, work.dependencies) if {link.before, link.after} <= known]
    return tuple(_bridged(links, gone))


def _link(row: Dependency) -> core.Link:
    return core.Link(
        before=package_key(row.before_package_id) if row.before_package_id else visit_key(row.before_visit_id),
        after=package_key(row.after_package_id) if row.after_package_id else visit_key(row.after_visit_id),
        kind=core.LinkKind(row.kind),
        lag_sessions=row.lag_sessions,
        lag_days=row.lag_days,
        reason=row.reason,
    )


def _bridged(links: list[core.Link], gone: set[str]) -> Iterator[core.Link]:
    for link in links:
        if not gone & {link.before, link.after}:
            yield link
    for key in gone:
        befores = {link.before for link in links if link.after == key} - gone
        afters = {link.after for link in links if link.before == key} - gone
        yield from (core.Link(before, after) for before in sorted(befores) for after in sorted(afters))

"""Planning: ask for a plan, make it, stop it, refresh the draft."""

import time
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from threading import Event

from django.db import transaction

from jobs import outbox
from jobs.actions.permission import Refused, require_office
from jobs.actions.plan_rows import save_draft
from jobs.core.planning import find_conflicts, improve_plan, quick_plan
from jobs.core.planning.offers import Settled, settle
from jobs.core.planning.plan import Plan as Answer
from jobs.core.planning.plan import Progress
from jobs.core.planning.problem import Problem
from jobs.core.planning.spreads import Spreads
from jobs.models import Firm, Plan, PlanRun, User
from jobs.queries.firm_calendar import next_session
from jobs.queries.learning import load_spreads
from jobs.queries.plan_rows import load_before
from jobs.queries.planning import load_problem
from jobs.queries.plans import find_draft, find_running, has_died

SHORTEST_SECONDS, LONGEST_SECONDS = 1, 120
LOOK_EVERY_SECONDS = 0.3
"""How often a run writes its progress and looks whether somebody stopped it."""

QUICK_ROUNDS, REFRESH_ROUNDS = 4, 2
"""So many quick plans at most, each with more time in hand before dates that are not safe yet."""

IMPROVE_SHARES = (0.6, 0.2, 0.2)
"""Shares of the time for a better plan: the later ones only where new dates of the one before are not safe."""

State = PlanRun.State


@transaction.atomic
def plan_again(*, firm: Firm, by: User, seconds: int, now: datetime) -> PlanRun:
    """Ask for a new draft. One run at a time: whoever comes second is told who is planning."""
    require_office(by, firm)
    if not SHORTEST_SECONDS <= seconds <= LONGEST_SECONDS:
        raise Refused(f"Let the planner think for {SHORTEST_SECONDS} to {LONGEST_SECONDS} seconds.", field="seconds")
    Firm.objects.select_for_update().get(pk=firm.pk)
    _give_up_on_dead_runs(firm, now)
    _refuse_second_planner(firm, now)
    run = PlanRun.objects.create(firm=firm, seconds=seconds, asked_by=by, asked_at=now)
    outbox.enqueue(key=f"run_planner:{run.pk}", task="run_planner", payload={"run_pk": run.pk}, due_at=now, firm=firm)
    return run


def _refuse_second_planner(firm: Firm, now: datetime) -> None:
    if running := find_running(firm, now):
        raise Refused(f"{_asker(running)} is planning already. Wait for that plan, or stop it.")


def _asker(run: PlanRun) -> str:
    return (run.asked_by.get_full_name() or run.asked_by.get_username()) if run.asked_by else "Someone"


def _give_up_on_dead_runs(firm: Firm, now: datetime) -> None:
    for run in PlanRun.objects.filter(firm=firm, state=State.RUNNING):
        if has_died(run, now):
            _end(run, State.FAILED, "The planner stopped without a word. The plan before it stands.", now)


def stop_run(*, run: PlanRun, by: User) -> None:
    """Ask a run to end with the best plan it has so far."""
    require_office(by, run)
    PlanRun.objects.filter(pk=run.pk, state__in=(State.WAITING, State.RUNNING)).update(should_stop=True)


def run_planner(*, run_pk: int, now: datetime) -> PlanRun:
    """Make a usable draft at once, then a better one until time is up or somebody stops it. Safe to call twice."""
    started = PlanRun.objects.filter(pk=run_pk, state__in=(State.WAITING, State.RUNNING))
    if started.update(state=State.RUNNING, started_at=now):
        run = PlanRun.objects.select_related("firm", "asked_by").get(pk=run_pk)
        began = time.monotonic()
        try:
            state, message = _plan(run, now)
        except Exception:
            _end(run, State.FAILED, "The planner failed; the log says why. Nothing more was changed.", now)
            raise
        _end(run, state, message, now + timedelta(seconds=time.monotonic() - began))
    return PlanRun.objects.get(pk=run_pk)


def _plan(run: PlanRun, now: datetime) -> tuple[str, str]:
    """The state a run ends in, and what is said about it."""
    draft = find_draft(run.firm)
    problem = load_problem(run.firm, *next_session(run.firm, now))
    before, spreads = load_before(run.firm, problem), load_spreads(run.firm)
    quick = settle(problem, spreads, partial(quick_plan, before=before), rounds=QUICK_ROUNDS)
    if quick.plan.messages and not quick.plan.spans:
        return State.FAILED, "\n".join(quick.plan.messages)
    try:
        saved = _save(run, quick.problem, quick.plan, draft.version if draft else None, now)
        found = _improve(run, quick, before, spreads)
        best = _with_conflicts(problem, found.plan)
        _save(run, found.problem, best, saved.version, now)
    except Refused as refusal:
        return State.STOPPED, refusal.message
    was_stopped = PlanRun.objects.filter(pk=run.pk, should_stop=True).exists()
    return (State.STOPPED if was_stopped else State.DONE), "\n".join(best.messages)


def _with_conflicts(problem: Problem, answer: Answer) -> Answer:
    """A plan that cannot keep everything also says what stands against what."""
    return replace(answer, conflicts=tuple(find_conflicts(problem))) if answer.broken else answer


def _save(run: PlanRun, problem: Problem, answer: Answer, version: int | None, now: datetime) -> Plan:
    plan = save_draft(firm=run.firm, problem=problem, answer=answer, version=version, by=run.asked_by, now=now)
    PlanRun.objects.filter(pk=run.pk).update(plan=plan)
    return plan


def _improve(run: PlanRun, quick: Settled, before: Answer | None, spreads: Spreads) -> Settled:
    """The solver runs in a thread of its own, so that only this thread talks to the database."""
    latest: list[Answer | Progress] = [quick.plan]
    stop, shares = Event(), iter(IMPROVE_SHARES)

    def better(problem: Problem) -> Answer:
        seconds = run.seconds * next(shares)
        return improve_plan(
            problem, before=before, seconds=seconds, on_progress=latest.append, should_stop=stop.is_set
        )

    with ThreadPoolExecutor(max_workers=1) as pool:
        rounds = len(IMPROVE_SHARES)
        answer = pool.submit(
            settle, quick.problem, spreads, better, rounds=rounds, moved_too=True, seed=quick.plan
        )
        _watch(run, answer, latest, stop)
    return answer.result()


def _watch(run: PlanRun, answer: Future, latest: list[Answer | Progress], stop: Event) -> None:
    began = time.monotonic()
    while not wait([answer], timeout=LOOK_EVERY_SECONDS).done:
        seconds = time.monotonic() - began
        PlanRun.objects.filter(pk=run.pk).update(progress=_progress_facts(seconds, latest[-1]))
        if PlanRun.objects.filter(pk=run.pk, should_stop=True).exists():
            stop.set()


def _progress_facts(seconds: float, best: Answer | Progress) -> dict[str, object]:
    return {
        "seconds": round(seconds, 1),
        "gap": best.gap,
        "objective": best.objective.terms(),
        "bound": best.bound.terms(),
    }


def _end(run: PlanRun, state: str, message: str, at: datetime) -> None:
    PlanRun.objects.filter(pk=run.pk).update(state=state, message=message, ended_at=at)


def refresh_draft(*, firm: Firm, by: User, now: datetime) -> Plan:
    """A quick new draft at once, that takes in what just changed: ticks, answers, absences."""
    require_office(by, firm)
    _refuse_second_planner(firm, now)
    draft = find_draft(firm)
    problem = load_problem(firm, *next_session(firm, now))
    quick = partial(quick_plan, before=load_before(firm, problem))
    found = settle(problem, load_spreads(firm), quick, rounds=REFRESH_ROUNDS, moved_too=True)
    answer = found.plan
    if answer.messages and not answer.spans:
        raise Refused("\n".join(answer.messages))
    version = draft.version if draft else None
    return save_draft(firm=firm, problem=found.problem, answer=answer, version=version, by=by, now=now)

"""Days that trades suggest instead of the ones they were told, and what taking one of them would move."""

from dataclasses import dataclass, replace
from datetime import datetime

from jobs.core.planning import quick_plan
from jobs.core.planning.changes import Changes, compare
from jobs.core.planning.plan import Plan as Answer
from jobs.core.planning.problem import Problem
from jobs.core.stages import Half
from jobs.models import Firm, Plan, SuggestedDay, Visit
from jobs.queries.firm_calendar import next_session
from jobs.queries.plan_rows import load_before, load_plan
from jobs.queries.planning import load_problem
from jobs.queries.planning_keys import visit_key
from jobs.queries.plans import find_issued
from jobs.queries.told import find_told


@dataclass(frozen=True)
class Suggestion:
    """A suggested day with what would move for others if it were taken, and what that would break.

    Told dates are compared with what people were told, everything else with the plan as it would be without that day.
    """

    day: SuggestedDay
    changes: Changes | None
    broken: tuple[str, ...] = ()
    why_not: str = ""


@dataclass(frozen=True)
class _Trial:
    """What days are tried on: the problem, the plan it follows on, the plan people hold, the plan without any of them."""

    problem: Problem
    before: Answer | None
    held: Answer | None
    without: Answer


def list_suggested(visit: Visit) -> list[SuggestedDay]:
    """Days that the visit's trade suggests, while that is their last word."""
    told = find_told(visit) if visit.state == Visit.State.DECLINED else None
    return list(told.suggested_days.select_related("visit")) if told and told.answer == told.Answer.SUGGESTED else []


def load_suggestions(visit: Visit, now: datetime) -> list[Suggestion]:
    """Each day planned for trial, against the plan people hold. Nothing is kept of it."""
    days = list_suggested(visit)
    if not days:
        return []
    problem = load_problem(visit.firm, *next_session(visit.firm, now))
    before, held = load_before(visit.firm, problem), _load_held(visit.firm, problem)
    trial = _Trial(problem, before, held, quick_plan(problem, before=before))
    return [_suggestion(day, trial) for day in days]


def _load_held(firm: Firm, problem: Problem) -> Answer | None:
    issued: Plan | None = find_issued(firm)
    return load_plan(issued, problem) if issued else None


def _suggestion(day: SuggestedDay, trial: _Trial) -> Suggestion:
    problem, key = trial.problem, visit_key(day.visit_id)
    session = problem.sessions.index(day.on, Half(day.half))
    if session is None or session < problem.first_session:
        return Suggestion(day, None, why_not="Your firm does not work then, or it is over.")
    tried = quick_plan(_with_accepted(problem, key, session), before=trial.before)
    if tried.messages and not tried.spans:
        return Suggestion(day, None, why_not=" ".join(tried.messages))
    known = {rule.words for rule in trial.without.broken}
    broken = tuple(dict.fromkeys(rule.words for rule in tried.broken if rule.words not in known))
    return Suggestion(day, _besides(key, trial, tried), broken)


def _with_accepted(problem: Problem, key: str, session: int) -> Problem:
    """The problem as it would be with the visit agreed for this session."""
    visits = tuple(
        replace(visit, accepted=session, asked=None, declined=frozenset(), not_before=0) if visit.key == key else visit
        for visit in problem.visits
    )
    return replace(problem, visits=visits, told=tuple(told for told in problem.told if told.activity != key))


def _besides(key: str, trial: _Trial, tried: Answer) -> Changes:
    """What moves besides the visit itself."""
    told = compare(trial.problem, trial.held or tried, tried).told
    others = compare(trial.problem, trial.without, tried)
    untold = tuple(move for move in others.visits if move.key != key)
    return replace(others, told=tuple(move for move in told if move.key != key), visits=untold)

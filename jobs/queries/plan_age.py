"""What happened since a plan was made, so that a stale draft says so."""

from jobs.models import Person, Plan, RoomTask, Visit


def list_news(plan: Plan) -> list[str]:
    """Ticks, answers and absences that the plan does not know of, counted in words."""
    ticked = RoomTask.objects.filter(firm=plan.firm_id, done_at__gt=plan.made_at).count()
    answered = Visit.objects.filter(firm=plan.firm_id, answered_at__gt=plan.made_at).count()
    away = Person.objects.filter(firm=plan.firm_id, is_active=True, away_changed_at__gt=plan.made_at).count()
    counts = (
        (ticked, "line ticked", "lines ticked"),
        (answered, "answer from a trade", "answers from trades"),
        (away, "person with other days away", "people with other days away"),
    )
    return [f"{number} {one if number == 1 else many}" for number, one, many in counts if number]

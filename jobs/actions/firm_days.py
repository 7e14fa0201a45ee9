"""Days on which the firm works otherwise: shut-downs, and Saturdays made up."""

from datetime import date

from django.db import transaction

from jobs.actions.permission import Refused, require_office
from jobs.models import CalendarDay, Firm, User
from jobs.queries.firm_calendar import load_calendar


@transaction.atomic
def add_firm_day(*, firm: Firm, on: date, is_working: bool, name: str, by: User, today: date) -> CalendarDay:
    """Let the firm work, or rest, on a day against its usual calendar. Refused when it already does."""
    require_office(by, firm)
    if on < today:
        raise Refused("That day is over. Choose today or a day to come.", field="on")
    if known := CalendarDay.objects.filter(firm=firm, on=on).first():
        raise Refused(f"{_words(on)} is listed already, as {known.name}. Remove it first.", field="on")
    rest = load_calendar(firm, today).rest_name(on)
    if is_working and rest is None:
        raise Refused(f"{_words(on)} is a working day as it is.", field="on")
    if not is_working and rest:
        raise Refused(f"Nobody works on {_words(on)} as it is: {rest}.", field="on")
    return CalendarDay.objects.create(firm=firm, on=on, is_working=is_working, name=name)


def remove_firm_day(*, day: CalendarDay, by: User) -> None:
    require_office(by, day)
    day.delete()


def _words(on: date) -> str:
    return f"{on:%A} {on.day} {on:%B %Y}"

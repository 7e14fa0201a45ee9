"""Small words of the week page."""

from decimal import Decimal

from django import template

from jobs.core.stages import Stage
from jobs.queries.plan_words import aim_words, gap_words, told_words

register = template.Library()

LETTERS = {Stage.STRIP_OUT: "S", Stage.FIRST_FIX: "1", Stage.PLASTER_WAIT: "P", Stage.SECOND_FIX: "2", Stage.TEST: "T"}

QUARTERS = {Decimal(0): "", Decimal("0.25"): "¼", Decimal("0.5"): "½", Decimal("0.75"): "¾"}


@register.filter
def stage_letter(stage: str) -> str:
    """The mark of a stage: S strip-out, 1 first fix, P plaster wait, 2 second fix, T test."""
    return LETTERS[Stage(stage)]


@register.filter
def in_hours(hours: Decimal) -> str:
    """Hours as people say them: 2 h, 2½ h, ¾ h; else with decimals."""
    whole, rest = divmod(Decimal(hours), 1)
    if rest not in QUARTERS:
        return f"{hours:g} h"
    return f"{int(whole) or '' if rest else int(whole)}{QUARTERS[rest]} h"


@register.simple_tag
def all_stages() -> list[Stage]:
    return list(Stage)


register.filter("gap_words", gap_words)
register.filter("aim_words", aim_words)
register.filter("told_words", told_words)

"""How learned hours are put in words."""

from math import exp

from django import template

from jobs.queries.learning import Suggestion

register = template.Library()


@register.filter
def arithmetic(found: Suggestion) -> str:
    """The whole sum in a sentence, so that anybody can check it."""
    packages = "1 finished package" if found.packages == 1 else f"{found.packages} finished packages"
    total = found.prior_packages + found.weight
    return (
        f"{packages} took {found.factor:.2f} times the estimate for such work on average. By its part of their hours that "
        f"counts as {found.weight:.1f} packages, the hours of now as {found.prior_packages:.1f}: "
        f"{found.norm.labour_hours} × {found.factor:.2f} to the power of {found.weight:.1f} ÷ {total:.1f} "
        f"= {found.suggested_hours}."
    )


@register.filter
def spread_words(spread: float) -> str:
    """What a spread means for a package estimated at ten hours."""
    return f"10 hours estimated take {10 * exp(-spread):.1f} to {10 * exp(spread):.1f} in two cases of three"

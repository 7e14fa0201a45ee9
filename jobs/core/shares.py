"""Splitting a quantity so that the parts add up to it exactly."""

from collections.abc import Sequence
from decimal import ROUND_FLOOR, Decimal


def share_out(total: Decimal, weights: Sequence[Decimal], step: Decimal) -> list[Decimal]:
    """`total` split in proportion to `weights`, in whole steps that add up to it exactly (largest remainders).

    Weights of which none is positive count as equal. ValueError when `total` is no whole number of steps, or when
    there is something to split and nobody to take it.
    """
    if not weights and total:
        raise ValueError("There is nothing to share the quantity among.")
    if total % step:
        raise ValueError(f"{total} is not a whole number of steps of {step}.")
    if sum(weights) <= 0:
        weights = [Decimal(1)] * len(weights)
    whole = sum(weights)
    exact = [total / step * weight / whole for weight in weights]
    parts = [share.to_integral_value(ROUND_FLOOR) for share in exact]
    left = int(total / step - sum(parts))
    for index in sorted(range(len(parts)), key=lambda i: (parts[i] - exact[i], i))[:left]:
        parts[index] += 1
    return [part * step for part in parts]

"""The cheapest way to give each row a column of its own (the Hungarian method with potentials)."""

from collections.abc import Sequence


def cheapest(costs: Sequence[Sequence[float]]) -> list[int]:
    """The column of each row, all different, with the smallest sum of costs. There are at least as many columns as rows."""
    rows, columns = len(costs), len(costs[0]) if costs else 0
    row_price, column_price = [0.0] * (rows + 1), [0.0] * (columns + 1)
    holder = [0] * (columns + 1)
    for row in range(1, rows + 1):
        came_from = _extend(costs, row, row_price, column_price, holder)
        _augment(came_from, holder)
    found = [0] * rows
    for column in range(1, columns + 1):
        if holder[column]:
            found[holder[column] - 1] = column - 1
    return found


def _extend(costs, row: int, row_price: list[float], column_price: list[float], holder: list[int]) -> tuple[int, list[int]]:
    """Grow a tree of cheapest steps from a row until it meets a free column; return that column and how it was reached."""
    columns = len(column_price) - 1
    least, came_from, is_used = [float("inf")] * (columns + 1), [0] * (columns + 1), [False] * (columns + 1)
    holder[0], at = row, 0
    while holder[at]:
        is_used[at] = True
        step, following = float("inf"), 0
        for column in range(1, columns + 1):
            if not is_used[column]:
                reduced = costs[holder[at] - 1][column - 1] - row_price[holder[at]] - column_price[column]
                if reduced < least[column]:
                    least[column], came_from[column] = reduced, at
                if least[column] < step:
                    step, following = least[column], column
        for column in range(columns + 1):
            if is_used[column]:
                row_price[holder[column]] += step
                column_price[column] -= step
            else:
                least[column] -= step
        at = following
    return at, came_from


def _augment(path: tuple[int, list[int]], holder: list[int]) -> None:
    column, came_from = path
    while column:
        holder[column] = holder[came_from[column]]
        column = came_from[column]

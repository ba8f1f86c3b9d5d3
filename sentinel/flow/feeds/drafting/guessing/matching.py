"""Which column goes to which field so that the scores add up to the most, each taken once."""

from __future__ import annotations

from collections.abc import Sequence


def best_matching(scores: Sequence[Sequence[float]]) -> list[int]:
    """For each row the column it gets, or -1 for none, so that the sum is largest; only scores above 0 are taken.

    The Hungarian method with potentials (Kuhn 1955, from memory), in the cube of the size; `scipy` has one too, but
    the program does not need it for anything else.

    >>> best_matching([[5.0, 4.0], [4.5, 0.5]])
    [1, 0]
    """
    rows = len(scores)
    wide = len(scores[0]) if rows else 0
    if not wide:
        return [-1] * rows
    # One column more for each row, worth nothing: the row goes without.
    costs = [[-max(score, 0.0) for score in row] + [0.0] * rows for row in scores]
    taken_by = _cheapest(costs)
    matched = [-1] * rows
    for column in range(1, wide + 1):
        row = taken_by[column]
        if row and scores[row - 1][column - 1] > 0:
            matched[row - 1] = column - 1
    return matched


def _cheapest(costs: Sequence[Sequence[float]]) -> list[int]:
    """For each column, counted from 1, the row that takes it, counted from 1; 0 for none."""
    rows, columns = len(costs), len(costs[0])
    row_price, column_price = [0.0] * (rows + 1), [0.0] * (columns + 1)
    taken_by, way = [0] * (columns + 1), [0] * (columns + 1)
    for row in range(1, rows + 1):
        taken_by[0], column = row, 0
        least = [float("inf")] * (columns + 1)
        seen = [False] * (columns + 1)
        while taken_by[column]:
            seen[column] = True
            current, step, following = taken_by[column], float("inf"), 0
            for other in (one for one in range(1, columns + 1) if not seen[one]):
                cost = costs[current - 1][other - 1] - row_price[current] - column_price[other]
                if cost < least[other]:
                    least[other], way[other] = cost, column
                if least[other] < step:
                    step, following = least[other], other
            for other in range(columns + 1):
                if seen[other]:
                    row_price[taken_by[other]] += step
                    column_price[other] -= step
                else:
                    least[other] -= step
            column = following
        while column:
            taken_by[column] = taken_by[way[column]]
            column = way[column]
    return taken_by

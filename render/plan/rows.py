"""The rows of plaits: how pairs pass where plaits cross, and which row a picot follows."""

import numpy as np

from render.plan.spans import Span

Rows = list[list[tuple[int, str]]]

# From row to row where plaits cross, in gauges.
CROSSING_ROW = 2.0


def crossing_rows(pairs: int) -> Rows:
    """Return how plaits cross, pair by pair: rows of places, counted from the left, and letters.

    Two plaits cross like the threads of a whole stitch, with a pair in the place of each thread
    (J. Edkins, *Bobbin lace*, web handbook). With more of them each pair passes every other once,
    over and under in turn, so that all come out mirrored (common practice, no source).
    """
    count = 3 if pairs == 4 else pairs
    return [
        [(place, "R" if row % 2 else "L") for place in range(1 - row % 2, pairs - 1, 2)]
        for row in range(count)
    ]


def picots_after(span: Span, first: float, pitch: float, count: int) -> dict[tuple[int, int], int]:
    """Return the hole of each picot by the row it follows and its side, one a row and side."""
    found: dict[tuple[int, int], int] = {}
    for picot in span.picots:
        free = [row for row in range(count - 1) if (row, picot.side) not in found]
        apart = [abs(first + (row + 1) * pitch - picot.way) for row in free]
        found[free[int(np.argmin(apart))], picot.side] = picot.hole
    return found

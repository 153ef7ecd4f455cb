"""How many pairs an area wants for its width."""

import numpy as np
from numpy.typing import NDArray

from render.plan.rails import LEFT, RIGHT, Course
from render.pricking.model import Area

Points = NDArray[np.float64]

# Advance of the rows over pitch of the pairs. Dillmont's strip, fig. 785, measures 0.632 and has 6
# pairs in half stitch; her scalloped trail, fig. 799, has 7 pairs at its widest and 5 at its
# narrowest: 0.69 gives all three.
ADVANCE_PER_PITCH = 0.69
LEAST_ADVANCE = 0.2  # of the distance between holes on the edge


def wanted_pairs(holes: Points, area: Area, course: Course, density: float) -> tuple[int, ...]:
    """Return how many pairs, worker included, an area wants at each visit, the end last.

    Parameters
    ----------
    holes
        (N, 2) in mm.
    area, course
        What is worked and how.
    density
        1 for the usual cloth, more for closer.

    Returns
    -------
    One number a visit and one for the end. Half stitch takes one pair fewer than whole on the
    same pricking (Dillmont, fig. 785).
    """
    fixed = area.options.get("pairs")
    count = len(course.visits) + 1
    if fixed is not None:
        return (max(2, int(fixed) + 1),) * count
    sides = [visit.side for visit in course.visits]
    sides = [-sides[0], *sides, -sides[-1]] if sides else [LEFT, RIGHT]
    # A flat beginning or end is as wide as its pins reach.
    first = course.start[0 if sides[0] == LEFT else -1]
    last = course.end[0 if sides[-1] == LEFT else -1]
    way = holes[[first, *(v.hole for v in course.visits), last]]
    rows = _rows(way, sides)
    width = _widths(rows)
    # Rows that hardly advance (a worker going to and fro over one pin) say nothing of the pitch.
    step = float(np.median(np.hypot(*np.diff(holes[area.edges[0]], axis=0).T)))
    pitch = max(_row_advance(way, rows), LEAST_ADVANCE * step) / ADVANCE_PER_PITCH
    extra = 1 if area.stitch == "half" else 2
    closer = density * float(area.options.get("density", "1"))
    wanted = np.round(width * closer / pitch).astype(int) + extra
    return tuple(int(w) for w in np.maximum(wanted, 2))


def _rows(way: Points, sides: list[int]) -> Points:
    """Return (n, 2) for each stop but the first the row it ends, from left to right, without slant.

    A worker's rows slant to and fro; the mean over neighbouring rows does not.
    """
    latest = {sides[0]: way[0]}
    rows: list[Points] = []
    for spot, side in zip(way[1:], sides[1:], strict=True):
        latest[side] = spot
        rows.append(side * (spot - latest.get(-side, way[0])))
    padded = np.pad(np.array(rows), ((1, 1), (0, 0)), mode="edge")
    return np.asarray((padded[:-2] + 2 * padded[1:-1] + padded[2:]) / 4)


def _widths(rows: Points) -> NDArray[np.float64]:
    """Return the width of the area at each stop but the first, smoothed over neighbours."""
    padded = np.pad(np.hypot(*rows.T), 1, mode="edge")
    return np.asarray(np.median([padded[:-2], padded[1:-1], padded[2:]], axis=0))


def _row_advance(way: Points, rows: Points) -> float:
    """Return how far the work gets on with each row, measured at right angles to it."""
    middle = (way[1:] + way[:-1]) / 2
    if len(middle) < 2:
        return float(np.hypot(*(way[-1] - way[0])))
    run = np.diff(middle, axis=0)
    row = rows[1:] / np.maximum(np.hypot(*rows[1:].T), 1e-9)[:, None]
    return float(np.median(np.abs(run[:, 0] * row[:, 1] - run[:, 1] * row[:, 0])))

"""Where a worker turns without a pin: where its area has more holes on one side."""

import numpy as np
from numpy.typing import NDArray

from render.plan.rails import Course

Points = NDArray[np.float64]


def free_turn(holes: Points, course: Course, visit: int, side: int) -> Points:
    """Return (2,) the place on a rail where a worker turns before a visit, without a pin.

    Such turns are spread evenly from pin to pin.

    Parameters
    ----------
    holes
        (N, 2) in mm.
    course
        The way of the worker.
    visit
        The number of the visit, or how many there are before the end.
    side
        The rail on which it turns: not that of the visit.
    """
    visits = course.visits
    mine = [-1, *(k for k, stop in enumerate(visits) if stop.side == side), len(visits)]
    above, below = max(k for k in mine if k < visit), min(k for k in mine if k >= visit)
    first = holes[visits[above].hole if above >= 0 else course.start[0]]
    last = holes[visits[below].hole if below < len(visits) else course.end[0]]
    turns, turn = below - above - 1, visit - above - 1
    return np.asarray(first + turn / max(turns, turn + 1) * (last - first))


def rows(holes: Points, course: Course) -> list[Points]:
    """Return the way to each visit, the way to the end last: (n, 2) in mm.

    A way to another hole of the same side leads to the other one first.
    """
    stops = [holes[visit.hole] for visit in course.visits]
    ends = [holes[list(part)].mean(axis=0) for part in (course.start, course.end)]
    way = [ends[0], *stops, ends[1]]
    sides = [0, *(visit.side for visit in course.visits), 0]
    found = []
    for k in range(len(way) - 1):
        between = []
        if sides[k] == sides[k + 1] != 0:
            between = [free_turn(holes, course, k, -sides[k])]
        found.append(np.array([way[k], *between, way[k + 1]]))
    return found

"""Which way an area that stands alone is worked at each of its pins: along its own length."""

import numpy as np
from numpy.typing import NDArray

from render.plan.rails import Course

Points = NDArray[np.float64]


def along_course(holes: Points, course: Course) -> dict[int, Points]:
    """Return for each hole of a course the (2,) unit vector in which it is worked there.

    Parameters
    ----------
    holes
        (N, 2) in mm.
    course
        Its rows slant to and fro; what their middles do is how it gets on.
    """
    way = np.array(
        [
            holes[list(course.start)].mean(axis=0),
            *(holes[v.hole] for v in course.visits),
            holes[list(course.end)].mean(axis=0),
        ]
    )
    middle = (way[1:] + way[:-1]) / 2
    if len(middle) < 2:
        steps = way[1:] - way[:-1]
    else:
        onward = np.diff(middle, axis=0)
        steps = np.vstack([onward[:1], onward, onward[-1:]])
    stops = [course.start, *((v.hole,) for v in course.visits), course.end]
    found: dict[int, Points] = {}
    for here, step in zip(stops, steps, strict=False):
        length = float(np.hypot(*step))
        if length > 0:
            found |= dict.fromkeys(here, np.asarray(step / length))
    return found

"""Which way an area is worked: a direction line drawn in it says so."""

import numpy as np
from numpy.typing import NDArray

from render.geometry.polygon import contains, nearest_on_path, path_length, signed_area
from render.plan.rails import Course
from render.pricking.model import Area, Pricking, Run

Points = NDArray[np.float64]

# Half the square of the outline over the size inside it: 4 for a square, 5.3 for a band three times
# as long as it is wide. What is longer has an evident length along which it is worked.
LONG = 5.4
# A direction that bends back to where it began says nothing but its order.
LEAST_RUN = 1e-6


def direction_in(pricking: Pricking, area: Area) -> Run | None:
    """Return the direction line drawn in an area: most of its points lie inside it."""
    for run in pricking.runs:
        if run.word == "direction" and contains(area.contours, run.points).mean() > 0.5:
            return run
    return None


def heading(pricking: Pricking, area: Area) -> Points:
    """Return the (2,) unit vector in which an area is worked."""
    run = direction_in(pricking, area)
    if run is None:
        return pricking.down
    way = run.points[-1] - run.points[0]
    length = float(np.hypot(*way))
    return pricking.down if length < LEAST_RUN else np.asarray(way / length)


def is_compact(area: Area) -> bool:
    """Tell whether an area has no evident length."""
    outline = area.contours[0]
    size = abs(signed_area(outline))
    return path_length(outline, closed=True) ** 2 < 4 * LONG * size


def runs_against(pricking: Pricking, area: Area, course: Course) -> bool:
    """Tell whether a course goes through an area against the direction line drawn in it."""
    run = direction_in(pricking, area)
    if run is None:
        return False
    stops = [*course.start, *(visit.hole for visit in course.visits), *course.end]
    path = pricking.holes[stops]
    _, along = nearest_on_path(path, run.points[[0, -1]], closed=False)
    return bool(along[1] < along[0])

"""How many pairs an area wants for its width."""

import numpy as np
from numpy.typing import NDArray

from render.plan.rails import Course
from render.pricking.model import Area

Points = NDArray[np.float64]

# Advance of the rows over pitch of the pairs. Dillmont's strip, fig. 785, measures 0.632 and has 6
# pairs in half stitch; her scalloped trail, fig. 799, has 7 pairs at its widest and 5 at its
# narrowest: 0.69 gives all three.
ADVANCE_PER_PITCH = 0.69


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
    way = np.array(
        [
            holes[list(course.start)].mean(axis=0),
            *(holes[v.hole] for v in course.visits),
            holes[list(course.end)].mean(axis=0),
        ]
    )
    width = _widths(way)
    pitch = _row_advance(way) / ADVANCE_PER_PITCH
    extra = 1 if area.stitch == "half" else 2
    closer = density * float(area.options.get("density", "1"))
    wanted = np.round(width * closer / max(pitch, 1e-9)).astype(int) + extra
    return tuple(int(w) for w in np.maximum(wanted, 2))


def _widths(way: Points) -> NDArray[np.float64]:
    """Return the width of the area at each stop but the first, smoothed over neighbours.

    The rows slant to and fro; the width is measured across them.
    """
    if len(way) < 3:
        return np.hypot(*np.diff(way, axis=0).T)
    middle = (way[1:] + way[:-1]) / 2
    rows = np.arange(len(middle))
    ahead, behind = np.minimum(rows + 3, len(middle) - 1), np.maximum(rows - 3, 0)
    flow = middle[ahead] - middle[behind]
    flow /= np.maximum(np.hypot(*flow.T), 1e-9)[:, None]
    row = np.diff(way, axis=0)
    across = np.abs(row[:, 0] * flow[:, 1] - row[:, 1] * flow[:, 0])
    padded = np.pad(across, 1, mode="edge")
    return np.asarray(np.median([padded[:-2], padded[1:-1], padded[2:]], axis=0))


def _row_advance(way: Points) -> float:
    """Return how far the work gets on with each row."""
    middle = (way[1:] + way[:-1]) / 2
    if len(middle) < 2:
        return float(np.hypot(*(way[-1] - way[0])))
    return float(np.median(np.hypot(*np.diff(middle, axis=0).T)))

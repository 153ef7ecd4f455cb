"""Sort the contours of one shape into outlines and what they leave out."""

import numpy as np
from numpy.typing import NDArray

from render.geometry.polygon import contains, signed_area

Points = NDArray[np.float64]


def nest(contours: list[Points]) -> list[tuple[Points, ...]]:
    """Sort contours by what lies within what.

    Parameters
    ----------
    contours
        Closed, each (n, 2); they do not cross.

    Returns
    -------
    Shapes, each an outline and then its inner contours; an outline inside an inner contour is a
    shape of its own. Outlines keep the order they came in.
    """
    if not contours:
        return []
    areas = np.array([abs(signed_area(contour)) for contour in contours])
    low = np.array([contour.min(axis=0) for contour in contours])
    high = np.array([contour.max(axis=0) for contour in contours])
    around = []
    for contour, area in zip(contours, areas, strict=True):
        start = contour[0]
        wider = ((low <= start) & (start <= high)).all(axis=1) & (areas > area)
        outer = np.flatnonzero(wider).tolist()
        around.append([other for other in outer if contains([contours[other]], start[None])[0]])
    inner: dict[int, list[Points]] = {
        i: [] for i in range(len(contours)) if len(around[i]) % 2 == 0
    }
    for i, outer in enumerate(around):
        if len(outer) % 2:
            inner[min((o for o in outer if o in inner), key=areas.__getitem__)].append(contours[i])
    return [(contours[i], *left_out) for i, left_out in inner.items()]

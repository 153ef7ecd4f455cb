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
    areas = [abs(signed_area(contour)) for contour in contours]
    around = [
        [
            other
            for other in range(len(contours))
            if areas[other] > areas[i] and contains([contours[other]], contours[i][:1])[0]
        ]
        for i in range(len(contours))
    ]
    inner: dict[int, list[Points]] = {
        i: [] for i in range(len(contours)) if len(around[i]) % 2 == 0
    }
    for i, outer in enumerate(around):
        if len(outer) % 2:
            inner[min((o for o in outer if o in inner), key=areas.__getitem__)].append(contours[i])
    return [(contours[i], *left_out) for i, left_out in inner.items()]

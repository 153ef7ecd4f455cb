"""Straight pieces in the plane."""

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


def any_crossed(a: Points, b: Points, segments: Points) -> bool:
    """Tell whether the piece from a to b properly crosses any of (M, 2, 2) segments.

    Pieces that only touch at their ends do not cross.
    """
    if not len(segments):
        return False
    c, d = segments[:, 0], segments[:, 1]
    sides = _side(a, b, c) * _side(a, b, d)
    other = _side(c, d, a) * _side(c, d, b)
    scale = float(np.abs(b - a).max()) ** 4 * 1e-12
    return bool(((sides < -scale) & (other < -scale)).any())


def _side(a: Points, b: Points, c: Points) -> NDArray[np.float64]:
    """Return twice the signed area of the triangle a, b, c."""
    run, offset = b - a, c - a
    return np.asarray(run[..., 0] * offset[..., 1] - run[..., 1] * offset[..., 0])

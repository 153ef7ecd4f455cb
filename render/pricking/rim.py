"""The rim of areas that are drawn loosely over a lattice of holes.

Whoever marks an area on a pricking full of holes means the holes inside it, however roughly the
outline runs round them: the outermost of these are its edge.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay, QhullError

from render.geometry.polygon import contains

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

# Holes are neighbours up to so many spacings; more where some stand unevenly or are missing, as
# long as what lies between them is inside the outline.
NEIGHBOURS = (1.8, 2.6, 3.6)


def find_rim(
    holes: Points, spacing: NDArray[np.float64], chosen: Indices, outline: Points
) -> Indices | None:
    """Return the outermost of some holes, round them, clockwise as seen.

    Parameters
    ----------
    holes
        (N, 2) in mm.
    spacing
        (N,) the usual distance in mm from each hole to its neighbours.
    chosen
        Those inside an outline or near it.
    outline
        (n, 2) in mm.

    Returns
    -------
    The holes of the rim, or None where the chosen ones do not stand in one patch without an
    opening.
    """
    triangles, longest = _triangles(holes[chosen], spacing[chosen])
    within = contains([outline], holes[chosen][triangles].mean(axis=1))
    for most in NEIGHBOURS:
        near = longest <= most
        ring = _border(triangles[near & (within | (most == NEIGHBOURS[0]))])
        if ring is not None:
            return np.asarray(chosen[ring])
    return None


def _border(triangles: Indices) -> Indices | None:
    """Return the corners round a patch of triangles, None where it is not one ring."""
    sides = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    there = {(a, b) for a, b in sides.tolist()}
    border = [(a, b) for a, b in sides.tolist() if (b, a) not in there]
    following = dict(border)
    if not border or len(following) < len(border):
        return None
    ring = [border[0][0]]
    while (after := following[ring[-1]]) != ring[0]:
        ring.append(after)
    return np.array(ring, np.int64) if len(ring) == len(border) else None


def _triangles(holes: Points, spacing: NDArray[np.float64]) -> tuple[Indices, NDArray[np.float64]]:
    """Return (T, 3) triangles between holes, clockwise as seen, and (T,) their longest sides.

    These are counted in spacings.
    """
    nothing = np.zeros((0, 3), np.int64), np.zeros(0)
    if len(holes) < 4:
        return nothing
    try:
        corners = np.asarray(Delaunay(holes).simplices, np.int64)
    except QhullError:  # all in a line
        return nothing
    a, b, c = (holes[corners[:, k]] for k in range(3))
    turn = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    corners[turn < 0] = corners[turn < 0][:, ::-1]
    sides = np.stack([np.hypot(*(q - p).T) for p, q in ((a, b), (b, c), (c, a))])
    return corners, np.asarray(sides.max(axis=0) / np.median(spacing[corners], axis=1))

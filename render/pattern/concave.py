"""The outline of a set of points, as an eye would draw it."""

import heapq
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay

Points = NDArray[np.float64]
Rows = NDArray[np.int64]

# A side longer than this many spacings bridges a bay. The square lattice of a ground has sides of
# up to √2 along a straight edge.
BRIDGE = 1.6
# The same where every hole is known to stand on the edge.
NARROW_BRIDGE = 1.2
# A triangle larger than this, away from the outline, lies in the opening of a ring.
OPENING = 2.5


@dataclass(frozen=True, eq=False)
class _Mesh:
    """A Delaunay triangulation and which of its triangles are left.

    Attributes
    ----------
    corners, beyond
        (M, 3) points of each triangle, counterclockwise, and the triangle on the other side of the
        edge that faces each corner, -1 for none.
    left
        (M,) true for what has not been taken away.
    rim
        (N,) true for points on the outline.
    """

    corners: Rows
    beyond: Rows
    left: NDArray[np.bool_]
    rim: NDArray[np.bool_]

    def edge(self, triangle: int, k: int) -> tuple[int, int]:
        """Return the edge that faces corner k."""
        return int(self.corners[triangle, (k + 1) % 3]), int(self.corners[triangle, (k + 2) % 3])


def outline_of(
    points: Points, spacing: NDArray[np.float64], others: Points, *, pinned_inside: bool
) -> list[Rows]:
    """Find the outline of points, and the openings it leaves out.

    Parameters
    ----------
    points
        (N, 2) with N >= 3, not all on one line.
    spacing
        (N,) how far apart neighbours stand around each.
    others
        (M, 2) points that do not belong.
    pinned_inside
        Whether the area may have points inside. Where it may not, as in cloth, a corner that cuts
        into it is followed, unless there are points inside all the same.

    Returns
    -------
    Rows of `points`: the outline, which has every point on or in it, then the openings.

    References
    ----------
    .. M. Duckham, L. Kulik, M. Worboys, A. Galton, "Efficient generation of simple polygons for
       characterizing the shape of a set of points in the plane", Pattern Recognition 41 (2008)
       3224-3236, doi:10.1016/j.patcog.2008.03.023, section 3; the length is taken relative to
       the spacing, and openings are added
    """
    found = Delaunay(points)
    corners, beyond = found.simplices.astype(np.int64), found.neighbors.astype(np.int64)
    hull = np.zeros(len(points), bool)
    for k in range(3):
        hull[np.delete(corners[beyond[:, k] < 0], k, axis=1)] = True
    mesh = _Mesh(corners, beyond, np.ones(len(corners), bool), hull)
    _dig(mesh, points, spacing, BRIDGE)
    if not (pinned_inside or mesh.rim.all()):
        closer = _Mesh(corners, beyond, mesh.left.copy(), mesh.rim.copy())
        _dig(closer, points, spacing, NARROW_BRIDGE)
        mesh = closer if closer.rim.all() else mesh
    outline = _loops(mesh, mesh.left)[0]
    foreign = found.find_simplex(others).astype(np.int64)
    return [outline, *_openings(mesh, points, spacing, foreign)]


def _dig(mesh: _Mesh, points: Points, spacing: NDArray[np.float64], bridge: float) -> None:
    """Take away outer triangles with a long outer edge, the longest first."""
    waiting: list[tuple[float, int, int]] = []

    def consider(triangle: int, k: int) -> None:
        i, j = mesh.edge(triangle, k)
        length = np.hypot(*(points[i] - points[j])) * 2 / (spacing[i] + spacing[j])
        if length > bridge:
            heapq.heappush(waiting, (-float(length), triangle, k))

    outer = mesh.left[:, None] & ((mesh.beyond < 0) | ~mesh.left[mesh.beyond])
    for triangle, k in np.argwhere(outer).tolist():
        consider(triangle, k)
    while waiting:
        _, triangle, k = heapq.heappop(waiting)
        corner = mesh.corners[triangle, k]
        # A corner that is on the outline already would make it touch itself.
        if not mesh.left[triangle] or mesh.rim[corner]:
            continue
        mesh.left[triangle] = False
        mesh.rim[corner] = True
        for side in ((k + 1) % 3, (k + 2) % 3):
            next_one = int(mesh.beyond[triangle, side])
            consider(next_one, int(np.flatnonzero(mesh.beyond[next_one] == triangle)[0]))


def _openings(
    mesh: _Mesh, points: Points, spacing: NDArray[np.float64], foreign: Rows
) -> list[Rows]:
    """Find the openings of a ring: large triangles, or such with other points, off the outline."""
    inner = mesh.left & ~mesh.rim[mesh.corners].any(axis=1)
    sides = points[mesh.corners] - points[np.roll(mesh.corners, 1, axis=1)]
    size = np.hypot(sides[..., 0], sides[..., 1]).max(axis=1)
    large = size > OPENING * spacing[mesh.corners].mean(axis=1)
    large[foreign[foreign >= 0]] = True
    waiting = np.flatnonzero(inner & large).tolist()
    opened = np.zeros(len(mesh.left), bool)
    while waiting:
        triangle = waiting.pop()
        if not opened[triangle]:
            opened[triangle] = True
            waiting += [n for n in mesh.beyond[triangle].tolist() if n >= 0 and inner[n]]
    return _loops(mesh, opened)


def _loops(mesh: _Mesh, chosen: NDArray[np.bool_]) -> list[Rows]:
    """Return the borders of the chosen triangles, those that pass a point twice left out."""
    outside = (mesh.beyond < 0) | ~chosen[mesh.beyond]
    following: dict[int, list[int]] = {}
    for triangle, k in np.argwhere(outside & chosen[:, None]).tolist():
        i, j = mesh.edge(triangle, k)
        following.setdefault(i, []).append(j)
    loops = []
    while following:
        start = next(iter(following))
        loop, simple = [start], True
        while following.get(loop[-1]):
            ways = following[loop[-1]]
            simple &= len(ways) == 1
            step = ways.pop()
            if not ways:
                del following[loop[-1]]
            if step == start:
                break
            loop.append(step)
        if simple:
            loops.append(np.array(loop))
    return loops

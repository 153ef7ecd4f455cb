"""Points and polygons in the plane."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


def signed_area(outline: Points) -> float:
    """Return the area of an (n, 2) outline; positive where x turns towards y."""
    following = np.roll(outline, -1, axis=0)
    return float(np.sum(outline[:, 0] * following[:, 1] - following[:, 0] * outline[:, 1]) / 2)


def contains(contours: Sequence[Points], points: Points) -> NDArray[np.bool_]:
    """Tell which points lie inside a shape by the even-odd rule.

    Parameters
    ----------
    contours
        Closed outlines, each (n, 2), the last point joined to the first.
    points
        (N, 2) positions.

    Returns
    -------
    (N,) true inside.
    """
    inside = np.zeros(len(points), bool)
    for contour in contours:
        low, high = contour.min(axis=0), contour.max(axis=0)
        near = np.flatnonzero(((points >= low) & (points <= high)).all(axis=1))
        if not len(near):
            continue
        x, y = points[near, 0, None], points[near, 1, None]
        ax, ay = contour.T
        bx, by = np.roll(contour, -1, axis=0).T
        spans = (ay > y) != (by > y)
        rise = np.where(by == ay, 1.0, by - ay)
        crossed = spans & (x < ax + (y - ay) * (bx - ax) / rise)
        inside[near] ^= crossed.sum(axis=1) % 2 == 1
    return inside


def nearest_on_path(
    path: Points, points: Points, *, closed: bool
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Find the nearest spot of a path for every point.

    Parameters
    ----------
    path
        (n, 2) vertices.
    points
        (N, 2) positions.
    closed
        Whether the last vertex is joined to the first.

    Returns
    -------
    (N,) distances, and (N,) lengths along the path to the nearest spot.
    """
    a = path if closed else path[:-1]
    b = np.roll(path, -1, axis=0) if closed else path[1:]
    run = b - a
    length = np.hypot(*run.T)
    square = np.where(length == 0, 1.0, length**2)
    offset = points[:, None, :] - a[None]
    t = np.clip((offset * run).sum(axis=2) / square, 0, 1)
    gap = offset - t[..., None] * run
    distance = np.hypot(gap[..., 0], gap[..., 1])
    best = distance.argmin(axis=1)
    rows = np.arange(len(points))
    before = np.concatenate([[0.0], np.cumsum(length)])
    return distance[rows, best], before[best] + t[rows, best] * length[best]


def path_length(path: Points, *, closed: bool = False) -> float:
    """Return the length of an (n, 2) path."""
    steps = np.diff(path, axis=0, append=path[:1]) if closed else np.diff(path, axis=0)
    return float(np.hypot(*steps.T).sum())


def parts_within(contours: Sequence[Points], path: Points) -> list[Points]:
    """Cut a path at the outlines of a shape and return what lies inside it.

    Parameters
    ----------
    contours
        Closed outlines, each (n, 2), by the even-odd rule.
    path
        (m, 2) vertices.

    Returns
    -------
    The parts inside, each (k, 2), in order along the path.
    """
    a = np.vstack(contours)
    b = np.vstack([np.roll(contour, -1, axis=0) for contour in contours])
    parts: list[Points] = []
    for first, last in pairwise(path):
        cuts = np.unique(np.concatenate([[0.0], _cuts(first, last, a, b), [1.0]]))
        spots = first + cuts[:, None] * (last - first)
        for k in np.flatnonzero(contains(contours, (spots[:-1] + spots[1:]) / 2)).tolist():
            if parts and np.array_equal(parts[-1][-1], spots[k]):
                parts[-1] = np.vstack([parts[-1], spots[k + 1]])
            else:
                parts.append(spots[k : k + 2])
    return parts


def share_within(contours: Sequence[Points], path: Points) -> float:
    """Return how much of the length of an (m, 2) path lies inside a shape, 0 to 1."""
    whole = path_length(path)
    inside = sum(path_length(part) for part in parts_within(contours, path))
    return inside / whole if whole else 0.0


def _cuts(first: Points, last: Points, a: Points, b: Points) -> NDArray[np.float64]:
    """Return how far along a straight piece it meets the pieces from (n, 2) a to b."""
    run, side, offset = last - first, b - a, a - first
    turned = run[0] * side[:, 1] - run[1] * side[:, 0]
    crossing = np.where(turned == 0, 1.0, turned)
    share = (offset[:, 0] * side[:, 1] - offset[:, 1] * side[:, 0]) / crossing
    aside = (offset[:, 0] * run[1] - offset[:, 1] * run[0]) / crossing
    met = (turned != 0) & (aside >= 0) & (aside <= 1) & (share > 0) & (share < 1)
    return np.asarray(share[met])

"""Points and polygons in the plane."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

# So many points are held against so many sides at once, about, that memory does not grow with both.
AT_ONCE = 1_000_000
# Points that are held against the same sides.
IN_A_HEAP = 64


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
        inside[near] ^= _crossed_oddly(contour, points[near])
    return inside


def _crossed_oddly(contour: Points, points: Points) -> NDArray[np.bool_]:
    """Tell from which points a ray to the right crosses an outline an odd number of times."""
    order = np.argsort(points[:, 1], kind="stable")
    x, y = points[order].T
    ax, ay = contour.T
    bx, by = np.roll(contour, -1, axis=0).T
    rise = np.where(by == ay, 1.0, by - ay)
    # Only points between the heights of its ends can lie beside a side.
    low = np.searchsorted(y, np.minimum(ay, by))
    count = np.searchsorted(y, np.maximum(ay, by)) - low
    odd = np.zeros(len(points), bool)
    for sides in _portions(count):
        side = np.repeat(sides, count[sides])
        point = low[side] + _ranks(count[sides])
        crossed = x[point] < ax[side] + (y[point] - ay[side]) * (bx[side] - ax[side]) / rise[side]
        odd ^= np.bincount(point[crossed], minlength=len(points)) % 2 == 1
    found = np.empty_like(odd)
    found[order] = odd
    return found


def _portions(count: Indices) -> list[Indices]:
    """Part a row of things so that each part counts no more than AT_ONCE, or is but one thing."""
    part = np.cumsum(count) // AT_ONCE
    return np.split(np.arange(len(count)), np.flatnonzero(np.diff(part)) + 1)


def _ranks(count: Indices) -> Indices:
    """Return 0, 1, 2... up to each of some numbers, one after another."""
    return np.asarray(np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count))


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
    before = np.concatenate([[0.0], np.cumsum(length)])
    away, share, best = np.empty(len(points)), np.empty(len(points)), np.empty(len(points), int)
    for those, sides in _sides_near((a + b) / 2, length / 2, points):
        offset = points[those][:, None] - a[sides]
        t = np.clip((offset * run[sides]).sum(axis=2) / square[sides], 0, 1)
        gap = offset - t[..., None] * run[sides]
        distance = np.hypot(gap[..., 0], gap[..., 1])
        rows, least = np.arange(len(those)), distance.argmin(axis=1)
        away[those], share[those] = distance[rows, least], t[rows, least]
        best[those] = sides[least]
    return away, before[best] + share * length[best]


def _sides_near(
    middle: Points,
    half: NDArray[np.float64],
    points: Points,
    reach: NDArray[np.float64] | None = None,
) -> Iterator[tuple[Indices, Indices]]:
    """Yield points a few at a time, with the sides of a path that may be near to one of them.

    Parameters
    ----------
    middle, half
        (n, 2) middles of the sides and half their lengths.
    points, reach
        (N, 2) positions, and (N,) how near; None for the side that is nearest.
    """
    every = np.arange(len(middle))
    if len(middle) * len(points) <= AT_ONCE // 10:
        yield np.arange(len(points)), every
        return
    if reach is None:
        reach = np.asarray(cKDTree(middle).query(points)[0])
    for those in _heaps(points, np.arange(len(points))):
        low = (points[those] - reach[those, None]).min(axis=0)
        high = (points[those] + reach[those, None]).max(axis=0)
        wide = half[:, None] * (1 + 1e-9) + 1e-9
        yield those, every[((middle + wide >= low) & (middle - wide <= high)).all(axis=1)]


def _heaps(points: Points, those: Indices) -> Iterator[Indices]:
    """Part points into heaps that lie close together."""
    if len(those) <= IN_A_HEAP:
        yield those
        return
    here = points[those]
    axis = int(np.ptp(here, axis=0).argmax())
    order = np.argsort(here[:, axis], kind="stable")
    for part in np.array_split(order, 2):
        yield from _heaps(points, those[part])


def opposite_on_path(
    outline: Points, points: Points, reach: NDArray[np.float64] | None = None
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Find where an outline passes points on the side away from where it is nearest.

    Parameters
    ----------
    outline
        (n, 2) vertices, the last joined to the first.
    points, reach
        (N, 2) positions, and (N,) how far off the outline is looked for; None for any distance.

    Returns
    -------
    (N,) distances, more than the reach where all of it within reach lies on one side, and (N,)
    lengths along the outline.
    """
    run = np.roll(outline, -1, axis=0) - outline
    length = np.hypot(*run.T)
    before = np.concatenate([[0.0], np.cumsum(length)[:-1]])
    distance, along = np.full(len(points), np.inf), np.zeros(len(points))
    reach = distance.copy() if reach is None else reach
    for those, sides in _sides_near(outline + run / 2, length / 2, points, reach):
        if not len(sides):
            continue
        offset = points[those][:, None] - outline[sides]
        square = np.maximum(length[sides] ** 2, 1e-12)
        share = np.clip((offset * run[sides]).sum(axis=2) / square, 0, 1)
        away = share[..., None] * run[sides] - offset
        far = np.hypot(away[..., 0], away[..., 1])
        rows = np.arange(len(those))
        nearest = away[rows, far.argmin(axis=1)]
        far[(away * nearest[:, None]).sum(axis=2) >= 0] = np.inf
        second = far.argmin(axis=1)
        distance[those] = far[rows, second]
        along[those] = before[sides[second]] + share[rows, second] * length[sides[second]]
    return distance, along


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


def spot_on_path(path: Points, way: float) -> tuple[Points, Points]:
    """Return the spot after so long a way along a path, and the unit vector to its left there.

    Beyond its ends the path goes straight on. Seen with y down the page.
    """
    steps = np.diff(path, axis=0)
    length = np.hypot(*steps.T)
    done = np.concatenate([[0.0], np.cumsum(length)])
    k = min(max(int(np.searchsorted(done, way, side="right")) - 1, 0), len(steps) - 1)
    run = steps[k] / max(float(length[k]), 1e-12)
    return path[k] + (way - done[k]) * run, np.array([run[1], -run[0]])


def part_of_path(path: Points, first: float, last: float) -> Points:
    """Return the part of a path between two ways along it."""
    done = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    between = path[(done > first) & (done < last)]
    return np.vstack([spot_on_path(path, first)[0], between, spot_on_path(path, last)[0]])

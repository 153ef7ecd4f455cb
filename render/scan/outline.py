"""Draw clean outlines through the holes on the edge of a coloured shape."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from render.geometry.polygon import contains, nearest_on_path, signed_area
from render.pattern.crossing import first_crossing
from render.scan.model import Points

Mask = NDArray[np.bool_]

# All in spacings.
ON_EDGE = 0.35  # how far a hole of the edge may stand off the usual distance from the colour
AT_TIP = 0.95  # the same for the hole at a tip, which a pen does not get into
STRAIGHT = 0.28  # how far the colour may stray from the straight line between two edge holes
FREE = 0.06  # the same where there are no holes to go by


@dataclass(frozen=True, eq=False)
class Outline:
    """A clean contour, and how it came about: (n, 2), and the holes it passes through."""

    points: Points
    through: int


def trace(mask: Mask) -> list[Points]:
    """Follow the border of a connected mask.

    Parameters
    ----------
    mask
        (R, C); its outermost cells are false.

    Returns
    -------
    Closed contours of (column, row), the outer one first, along the edges between cells; cells
    that touch at a corner only count as apart.
    """
    following = _border_edges(mask)
    contours = []
    while following:
        start = min(following)
        here, heading = start, next(iter(following[start]))
        path = []
        while True:
            path.append(here)
            ways = following[here]
            # Where two borders touch, keep to the cell on the right hand.
            way = heading if len(ways) == 1 else (heading + 1) % 4
            if way not in ways:
                way = next(iter(ways))
            there = ways.pop(way)
            if not ways:
                del following[here]
            here, heading = there, way
            if here == start and start not in following:
                break
            if here not in following:
                break
        contours.append(np.array(path, float)[:, ::-1] - 0.5)
    contours.sort(key=lambda contour: -abs(signed_area(contour)))
    return contours


def _border_edges(mask: Mask) -> dict[tuple[int, int], dict[int, tuple[int, int]]]:
    """Return, from each corner of a cell, the ways along the border with the mask on the right.

    Ways are 0 to the right, 1 down, 2 to the left, 3 up.
    """
    ways: dict[tuple[int, int], dict[int, tuple[int, int]]] = {}
    sides = ((-1, 0, 0, 0, 0, 1), (0, 1, 0, 1, 1, 1), (1, 0, 1, 1, 1, 0), (0, -1, 1, 0, 0, 0))
    for way, (dr, dc, r0, c0, r1, c1) in enumerate(sides):
        beyond = np.roll(mask, (-dr, -dc), (0, 1))
        for r, c in np.argwhere(mask & ~beyond).tolist():
            ways.setdefault((r + r0, c + c0), {})[way] = (r + r1, c + c1)
    return ways


def simplify(path: Points, tolerance: float) -> Points:
    """Drop the points of an open path that lie within a tolerance of the straight line.

    References
    ----------
    .. D. H. Douglas, T. K. Peucker, "Algorithms for the reduction of the number of points required
       to represent a digitized line or its caricature", Cartographica 10 (1973) 112-122
    """
    kept = np.zeros(len(path), bool)
    kept[[0, -1]] = True
    open_spans = [(0, len(path) - 1)]
    while open_spans:
        first, last = open_spans.pop()
        if last - first < 2:
            continue
        run = path[last] - path[first]
        offset = path[first + 1 : last] - path[first]
        length = float(np.hypot(*run))
        if length > 0:
            off = np.abs(run[0] * offset[:, 1] - run[1] * offset[:, 0]) / length
        else:
            off = np.hypot(*offset.T)
        worst = int(off.argmax())
        if off[worst] > tolerance:
            middle = first + 1 + worst
            kept[middle] = True
            open_spans += [(first, middle), (middle, last)]
    return path[kept]


def outlines(mask: Mask, holes: Points, spacing: float) -> list[Outline]:
    """Return the clean contours of a shape, the outer one first.

    Parameters
    ----------
    mask
        (R, C); its outermost cells are false.
    holes
        (N, 2) in cells, (column, row).
    spacing
        From hole to hole, in cells.

    Returns
    -------
    Contours through the holes of the edge where there are any, else along the colour.
    """
    contours = [_smoothed(contour, spacing) for contour in trace(mask)]
    least = 0.3 * spacing**2
    contours = [c for k, c in enumerate(contours) if k == 0 or abs(signed_area(c)) > least]
    outside = _outside(contours, holes)
    return [
        _through_holes(contour, holes, distance, along, spacing)
        for contour, (distance, along) in zip(contours, outside, strict=True)
    ]


def _smoothed(contour: Points, spacing: float) -> Points:
    """Round off the steps between cells."""
    width = max(0.06 * spacing, 1.0)
    return ndimage.gaussian_filter1d(contour, width, axis=0, mode="wrap")


def _outside(
    contours: list[Points], holes: Points
) -> list[tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """Return, for each contour, how far each hole is outside the colour and where along it.

    A hole counts for the contour it is nearest to; for the others it is infinitely far.
    """
    sign = np.where(contains(contours, holes), -1.0, 1.0)
    near = [nearest_on_path(contour, holes, closed=True) for contour in contours]
    nearest = np.argmin([distance for distance, _ in near], axis=0)
    return [
        (np.where(nearest == k, sign * distance, np.inf), along)
        for k, (distance, along) in enumerate(near)
    ]


def _through_holes(
    contour: Points,
    holes: Points,
    outside: NDArray[np.float64],
    along: NDArray[np.float64],
    spacing: float,
) -> Outline:
    """Lead a contour through the holes that stand on it."""
    near = np.abs(outside) < 0.5 * spacing
    usual = float(np.median(outside[near])) if near.any() else 0.0
    on_edge = np.flatnonzero(np.abs(outside - usual) < ON_EDGE * spacing)
    on_edge = on_edge[np.argsort(along[on_edge], kind="stable")]
    if len(on_edge) < 3:
        return Outline(_free(contour, spacing), 0)
    tips = np.flatnonzero(
        (outside - usual >= ON_EDGE * spacing) & (outside - usual < AT_TIP * spacing)
    )
    for tip in tips[np.argsort(outside[tips], kind="stable")]:
        on_edge = _with_tip(contour, holes, along, on_edge, int(tip), usual, spacing)
    points = _joined(contour, holes[on_edge], along[on_edge], spacing)
    lost = abs(signed_area(points)) < 0.5 * abs(signed_area(contour))
    if lost or len(points) < 3 or first_crossing([points]) is not None:
        return Outline(_free(contour, spacing), 0)
    return Outline(points, len(on_edge))


def _with_tip(
    contour: Points,
    holes: Points,
    along: NDArray[np.float64],
    on_edge: NDArray[np.intp],
    tip: int,
    usual: float,
    spacing: float,
) -> NDArray[np.intp]:
    """Add a hole farther out if the lines to it from both sides run along the colour."""
    at = int(np.searchsorted(along[on_edge], along[tip]))
    sides = holes[[on_edge[at - 1], on_edge[at % len(on_edge)]]]
    middles = (sides + holes[tip]) / 2
    distance, _ = nearest_on_path(contour, middles, closed=True)
    distance = np.where(contains([contour], middles), -distance, distance)
    beside = np.hypot(*(sides - holes[tip]).T)
    if (np.abs(distance - usual) < 0.22 * spacing).all() and (beside < 1.7 * spacing).all():
        return np.insert(on_edge, at, tip)
    return on_edge


def _joined(contour: Points, stops: Points, along: NDArray[np.float64], spacing: float) -> Points:
    """Join edge holes by straight lines, or along the colour where it strays from them."""
    steps = np.hypot(*(np.roll(contour, -1, axis=0) - contour).T)
    place = np.concatenate([[0.0], np.cumsum(steps)])
    length, place = place[-1], place[:-1]
    parts = []
    for k in range(len(stops)):
        start, stop = along[k], along[(k + 1) % len(stops)]
        span = (stop - start) % length
        after = (place - start) % length
        between = np.flatnonzero((after > 0) & (after < span))
        between = between[np.argsort(after[between], kind="stable")]
        stretch = np.vstack([stops[k], contour[between], stops[(k + 1) % len(stops)]])
        parts.append(simplify(stretch, STRAIGHT * spacing)[:-1])
    return np.concatenate(parts)


def _free(contour: Points, spacing: float) -> Points:
    """Simplify a closed contour that has no holes to go by."""
    far = int(np.hypot(*(contour - contour[0]).T).argmax())
    halves = contour[: far + 1], np.vstack([contour[far:], contour[:1]])
    return np.concatenate([simplify(half, FREE * spacing)[:-1] for half in halves])

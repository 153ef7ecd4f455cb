"""From polygons to smooth threads."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.settle.outline import Outline
from render.settle.thickness import gauges_of
from render.threads.network import Kind, LaidThreads

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

# Corners are rounded over this many gauges on either side, so that long pieces stay straight.
ROUNDING = 1.5
# Points in a rounded corner, and their distance on straight pieces in gauges.
IN_CORNER = 6
ON_STRAIGHT = 0.5
# Crossings that follow each other within so many gauges get points of their own.
CLOSE = 0.6
# Height of a thread over or under another, in gauges of that one.
LIFT = 0.52


@dataclass(frozen=True, eq=False)
class Curves:
    """Threads as close rows of points.

    Attributes
    ----------
    points
        (P, 2) in mm, one thread after another.
    starts
        (T + 1,) offsets into `points`.
    visit
        (P,) the visit each point belongs to.
    middle
        (V,) the point in the middle of each visit's corner.
    """

    points: Points
    starts: Indices
    visit: Indices
    middle: Indices


def round_off(
    shape: Outline, gauge_mm: float, ease: NDArray[np.float64], thick_mm: NDArray[np.float64]
) -> Curves:
    """Cut the corners of polygons with parabolas.

    A parabola stays inside the triangle of its corner, so a thread never leaves the strip that
    its polygon has for itself.

    Parameters
    ----------
    shape
        The polygons.
    gauge_mm
        Diameter of the threads.
    ease
        (V,) factor on the rounding at each visit, 0 to 1.
    thick_mm
        (V,) diameter of the thread of each visit: what is thick bends less sharply.
    """
    points = shape.points
    count = len(points)
    first, last = shape.starts[:-1], shape.starts[1:] - 1
    run = np.diff(points, axis=0, append=points[-1:])
    run[last] = 0
    length = np.hypot(*run.T)
    unit = run / np.maximum(length, 1e-12)[:, None]
    most = ROUNDING * (thick_mm * ease)[shape.visit]
    after = np.minimum(length / 2, most)
    before = np.minimum(np.roll(length, 1) / 2, most)
    after[first] = before[first] = 0
    after[last] = before[last] = 0
    come = points - before[:, None] * np.roll(unit, 1, axis=0)
    go = points + after[:, None] * unit
    straight = length - after - np.roll(before, -1)
    straight[last] = 0
    ends = np.zeros(count, bool)
    ends[first] = ends[last] = True
    corner = np.where(ends, 1, IN_CORNER + 1)
    between = np.maximum(np.ceil(straight / (ON_STRAIGHT * gauge_mm)) - 1, 0).astype(np.int64)
    between[last] = 0
    total = corner + between
    owner = np.repeat(np.arange(count), total)
    rank = np.arange(len(owner)) - np.repeat(np.cumsum(total) - total, total)
    t = np.where(ends[owner], 0.0, np.minimum(rank / IN_CORNER, 1.0))[:, None]
    curved = (1 - t) ** 2 * come[owner] + 2 * t * (1 - t) * points[owner] + t**2 * go[owner]
    along = np.maximum(rank - corner[owner] + 1, 0) / (between[owner] + 1)
    curved += (along * straight[owner])[:, None] * unit[owner]
    begin = np.cumsum(total) - total
    starts = np.concatenate([begin[first], [len(owner)]]).astype(np.int64)
    middle = np.zeros(int(shape.visit.max(initial=-1)) + 1, np.int64)
    centre = begin + corner // 2
    middle[shape.visit[::-1]] = centre[::-1]
    # Where two corners touch, the end of one is the beginning of the other.
    step = np.hypot(*np.diff(curved, axis=0, prepend=curved[:1] - 1).T)
    kept = step > 1e-6 * gauge_mm
    kept[starts[:-1]] = kept[middle] = True
    place = np.concatenate([[0], np.cumsum(kept)])
    return Curves(curved[kept], place[starts], shape.visit[owner[kept]], place[middle])


def split_where_close(
    curves: Curves, knots: NDArray[np.float64], gauge_mm: float
) -> tuple[Curves, NDArray[np.float64]]:
    """Put points where threads pass crossings that follow close upon each other.

    Between two points a thread rises or falls evenly: without points of their own such crossings
    could not lie one above and one below.

    Parameters
    ----------
    curves, knots
        The threads, and (V,) the point at which each visit is passed, with its fraction.
    gauge_mm
        Diameter of the threads.

    Returns
    -------
    The same for threads with more points on the same way.
    """
    own = np.arange(len(curves.points))
    way = np.cumsum(np.hypot(*np.diff(curves.points, axis=0, prepend=curves.points[:1]).T))
    gap = np.diff(np.interp(knots, own, way))
    near = np.zeros(len(knots), bool)
    near[1:] |= gap < CLOSE * gauge_mm
    near[:-1] |= gap < CLOSE * gauge_mm
    added = np.unique(knots[near & (knots % 1 > 0)])
    place = np.concatenate([own, added])
    order = np.argsort(place, kind="stable")
    points = np.stack([np.interp(place[order], own, curves.points[:, k]) for k in (0, 1)], axis=1)
    new = own + np.searchsorted(added, own)
    visit = curves.visit[place[order].astype(np.int64)]
    starts = np.concatenate([new[curves.starts[:-1]], [len(points)]])
    passed = np.interp(knots, place[order], np.arange(len(points)))
    return Curves(points, starts, visit, new[curves.middle]), passed


def heights(
    laid: LaidThreads, curves: Curves, knots: NDArray[np.float64], gauge_mm: float
) -> NDArray[np.float64]:
    """Return (P,) heights: up where a thread lies over another, down where beneath.

    A thread that is over twice in a row stays up in between.

    Parameters
    ----------
    laid, curves
        The threads.
    knots
        (V,) the point at which each visit is passed, with its fraction to the next point.
    gauge_mm
        Diameter of the threads.
    """
    node = laid.visits
    on_top = laid.over[node] == laid.thread
    level = np.where(on_top, 1.0, -1.0) * (laid.kind[node] == Kind.CROSSING)
    # Each gives way by the thickness of the other.
    level *= gauges_of(laid, gauge_mm)[np.where(on_top, laid.under[node], laid.over[node])]
    # What hangs on after its last crossing stays above or below.
    end = laid.starts[1:] - 1
    level[end] = level[end - 1]
    step = np.hypot(*np.diff(curves.points, axis=0, prepend=curves.points[:1]).T)
    # A long step from thread to thread keeps one from reaching into the next.
    way = np.cumsum(step)
    knot = np.maximum.accumulate(np.interp(knots, np.arange(len(way)), way))
    place = np.clip(np.searchsorted(knot, way, side="right") - 1, 0, len(knot) - 1)
    follower = np.minimum(place + 1, len(knot) - 1)
    span = np.maximum(knot[follower] - knot[place], 1e-12)
    t = np.clip((way - knot[place]) / span, 0, 1)
    smooth = t * t * (3 - 2 * t)
    rise = level[place] + (level[follower] - level[place]) * smooth
    return np.asarray(LIFT * rise)

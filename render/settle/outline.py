"""Threads as polygons: nodes, the bulges of twisted pairs, the way round pins."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.settle.pulls import Pieces
from render.threads.network import Kind, LaidThreads

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

# The bulge of a twisted pair as a multiple of the gauge: rounding brings it back to about a half.
BULGE = 0.62
# A way round a pin has a corner at least every so many radians.
ARC = np.pi / 3


@dataclass(frozen=True, eq=False)
class Outline:
    """The polygon each thread follows.

    Attributes
    ----------
    points
        (K, 2) in mm, one thread after another.
    starts
        (T + 1,) offsets into `points`.
    visit
        (K,) the visit a point belongs to.
    node
        (K,) the node a point is, or a number from N on for points of one thread alone.
    """

    points: Points
    starts: Indices
    visit: Indices
    node: Indices


def outline(
    laid: LaidThreads,
    pieces: Pieces,
    at: Points,
    gauge_mm: float,
    around: float,
    loose: NDArray[np.bool_],
    breadth: NDArray[np.float64],
) -> Outline:
    """Return the polygons of all threads for nodes at given positions.

    Parameters
    ----------
    laid, pieces
        The threads.
    at
        (N, 2) where the nodes are, in mm.
    gauge_mm
        Diameter of the threads.
    around
        Distance in mm from the middle of a pin to that of a thread round it.
    loose
        (N,) bends that have left their pins.
    breadth
        (N,) factor on the bulges of twisted pairs, less than 1 where there is no room.
    """
    visits = len(laid.visits)
    arcs, arc_visit = _arcs(laid, at, gauge_mm, around, loose)
    bulges, bulge_visit = _bulges(pieces, at, gauge_mm, breadth)
    plain = np.ones(visits, bool)
    plain[arc_visit] = False
    own = np.flatnonzero(plain)
    points = np.concatenate([at[laid.visits[own]], arcs, bulges])
    visit = np.concatenate([own, arc_visit, bulge_visit])
    later = np.concatenate([np.zeros(len(own) + len(arcs)), np.ones(len(bulges))])
    node = np.concatenate([laid.visits[own], len(laid.kind) + np.arange(len(arcs) + len(bulges))])
    order = np.lexsort((np.arange(len(points)), later, visit))
    thread_of = laid.thread[visit[order]]
    counts = np.bincount(thread_of, minlength=len(laid.starts) - 1)
    starts = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
    return Outline(points[order], starts, visit[order], node[order])


def _bulges(
    pieces: Pieces, at: Points, gauge: float, breadth: NDArray[np.float64]
) -> tuple[Points, Indices]:
    """Part the two threads of a pair between two twists."""
    twin = np.flatnonzero(pieces.twin)
    a, b = at[pieces.nodes[twin, 0]], at[pieces.nodes[twin, 1]]
    run = b - a
    length = np.hypot(*run.T)
    right = np.stack([run[:, 1], -run[:, 0]], axis=1) / np.maximum(length, 1e-9)[:, None]
    width = np.minimum(BULGE * gauge, 0.6 * length) * pieces.side[twin]
    width *= breadth[pieces.nodes[twin]].min(axis=1)
    return (a + b) / 2 + width[:, None] * right, pieces.visit[twin]


def _arcs(
    laid: LaidThreads, at: Points, gauge: float, around: float, loose: NDArray[np.bool_]
) -> tuple[Points, Indices]:
    """Lead threads round pins: a polygon about the circle they follow."""
    visit = np.flatnonzero(((laid.kind == Kind.BEND) & ~loose)[laid.visits])
    if not len(visit):
        return np.zeros((0, 2)), visit
    node = laid.visits[visit]
    leg = laid.leg[node]
    pin = laid.plan.pricking.holes[laid.plan.turn[leg]]
    way = laid.plan.turn_side[leg].astype(float)
    radius = np.asarray(around + laid.ring[node] * gauge, np.float64)
    first = _touch(at[laid.visits[visit - 1]] - pin, radius, way)
    last = _touch(at[laid.visits[visit + 1]] - pin, radius, -way)
    sweep = np.mod(way * (last - first), 2 * np.pi)
    # Threads that do not reach round keep one corner, where the bend is.
    free = sweep > 1.6 * np.pi
    drawn = at[node] - pin
    bearing = np.arctan2(drawn[:, 1], drawn[:, 0])
    first = np.where(free, bearing, first)
    sweep = np.where(free, 0.0, sweep)
    count = np.maximum(np.ceil(sweep / ARC), 1).astype(np.int64)
    owner = np.repeat(np.arange(len(visit)), count)
    rank = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    step = (sweep / count)[owner]
    angle = first[owner] + way[owner] * (rank + 0.5) * step
    reach = radius[owner] / np.cos(step / 2)
    corner = np.stack([np.cos(angle), np.sin(angle)], axis=1) * reach[:, None]
    return pin[owner] + corner, visit[owner]


def _touch(
    offset: Points, radius: NDArray[np.float64], way: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the bearing at which a line from a point touches a circle about the origin."""
    distance = np.maximum(np.hypot(*offset.T), 1e-9)
    half = np.arccos(np.clip(radius / distance, 0, 1))
    return np.asarray(np.arctan2(offset[:, 1], offset[:, 0]) + way * half)

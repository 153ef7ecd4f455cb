"""Keep threads from lying inside each other."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.settle.phantoms import distinct
from render.settle.pulls import Pieces
from render.settle.thickness import Thickness

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

SWEEPS = 16
LIST_EVERY = 8
# The most a node moves in one sweep, in gauges.
STRIDE = 0.25
# Least way from crossing to crossing of a thread, and of a twisted pair from twist to twist, in
# gauges.
CROSSING_PITCH, TWIST_PITCH = 1.05, 1.5
# Share of the way back to where the pull alone would have a node, each sweep.
MEMORY = 0.02
NEIGHBOURS = 16


@dataclass(frozen=True, eq=False)
class Bars:
    """Straight pieces, a twisted pair counting as one thick piece.

    Attributes
    ----------
    nodes
        (B, 2) the ends.
    least
        (B,) shortest length in mm.
    clear
        (B,) least distance in mm from its middle line to that of another thread.
    more
        (N,) how much further off the threads at a node have to be, in mm.
    """

    nodes: Indices
    least: NDArray[np.float64]
    clear: NDArray[np.float64]
    more: NDArray[np.float64]


def bars_of(pieces: Pieces, gauge_mm: float, thick: Thickness) -> Bars:
    """Return each straight piece once, and how much thicker than the thread some of them are."""
    # Of twins, which follow each other's nodes, only the one on the right is taken.
    first = ~pieces.twin | (pieces.side > 0)
    nodes, twin, visit = pieces.nodes[first], pieces.twin[first], pieces.visit[first]
    return Bars(
        nodes,
        gauge_mm * np.where(twin, TWIST_PITCH, CROSSING_PITCH)
        + CROSSING_PITCH * thick.crossed(visit),
        gauge_mm * np.where(twin, 1.5, 1.0) + thick.more[visit] / 2,
        thick.at_node / 2,
    )


def part(
    at: Points,
    bars: Bars,
    fixed: NDArray[np.bool_],
    gauge_mm: float,
    *,
    pins: Points,
    around: float,
    sweeps: int = SWEEPS,
) -> Points:
    """Push nodes and pieces apart until threads lie beside each other, where there is room.

    Parameters
    ----------
    at
        (N, 2) nodes in mm at rest under their pull.
    bars
        What joins them.
    fixed
        (N,) nodes that do not move.
    gauge_mm
        Diameter of the threads.
    pins
        (H, 2) where pins stand.
    around
        Least distance in mm from the middle of a pin to that of a thread.

    Returns
    -------
    (N, 2) positions in mm, a new array.
    """
    spots = np.concatenate([at, pins])
    rigid = np.concatenate([fixed, np.ones(len(pins), bool)])
    rest = spots.copy()
    more = np.concatenate([bars.more, np.zeros(len(pins))])
    for sweep in range(sweeps):
        if sweep % LIST_EVERY == 0:
            point, bar = _near(spots, bars, gauge_mm, around)
            need = np.where(point < len(at), bars.clear[bar], around + bars.clear[bar] - gauge_mm)
            need += more[point]
        move, count = _pushes(spots, bars, point, bar, need)
        step = move / np.maximum(count, 1)[:, None]
        size = np.hypot(*step.T)
        step *= np.minimum(1.0, STRIDE * gauge_mm / np.maximum(size, 1e-12))[:, None]
        step += MEMORY * (rest - spots)
        step[rigid] = 0
        spots = spots + step
    return spots[: len(at)]


def _near(spots: Points, bars: Bars, gauge: float, around: float) -> tuple[Indices, Indices]:
    """Return points and bars, not their own, that may come to touch."""
    a, b = spots[bars.nodes[:, 0]], spots[bars.nodes[:, 1]]
    parts = np.maximum(np.ceil(np.hypot(*(b - a).T) / gauge), 1).astype(np.int64)
    owner = np.repeat(np.arange(len(parts)), parts)
    rank = np.arange(len(owner)) - np.repeat(np.cumsum(parts) - parts, parts)
    share = ((rank + 0.5) / parts[owner])[:, None]
    middle = a[owner] + share * (b - a)[owner]
    reach = max(2.0 * gauge, around + gauge) + 2 * float(bars.more.max(initial=0))
    count = min(NEIGHBOURS, len(middle))
    distance, found = cKDTree(middle).query(spots, k=count, distance_upper_bound=reach)
    point, column = np.nonzero(np.isfinite(np.reshape(distance, (len(spots), -1))))
    bar = owner[np.reshape(found, (len(spots), -1))[point, column]]
    key = distinct(point * len(bars.nodes) + bar)
    point, bar = key // len(bars.nodes), key % len(bars.nodes)
    strange = (bars.nodes[bar] != point[:, None]).all(axis=1)
    return point[strange], bar[strange]


def _pushes(
    spots: Points, bars: Bars, point: Indices, bar: Indices, need: NDArray[np.float64]
) -> tuple[Points, NDArray[np.float64]]:
    """Return the sum and the number of the moves asked of each point."""
    a, b = bars.nodes[bar].T
    run = spots[b] - spots[a]
    square = np.maximum((run**2).sum(axis=1), 1e-18)
    offset = spots[point] - spots[a]
    share = np.clip((offset * run).sum(axis=1) / square, 0, 1)
    gap = offset - share[:, None] * run
    distance = np.maximum(np.hypot(*gap.T), 1e-9)
    lack = need - distance
    close = lack > 0
    out = gap[close] / distance[close, None]
    share, lack = share[close], lack[close]
    # The bar's ends share the push as a lever does.
    weight = 1 + share**2 + (1 - share) ** 2
    push = (lack / weight)[:, None] * out
    c, d = bars.nodes.T
    way = spots[d] - spots[c]
    length = np.maximum(np.hypot(*way.T), 1e-9)
    short = length < bars.least
    stretch = (0.5 * (bars.least - length) / length)[short, None] * way[short]
    who = np.concatenate([point[close], a[close], b[close], c[short], d[short]])
    moves = np.concatenate(
        [push, -(1 - share)[:, None] * push, -share[:, None] * push, -stretch, stretch]
    )
    weights = np.concatenate([np.ones(len(push)), 1 - share, share, np.ones(2 * short.sum())])
    count = np.bincount(who, weights, len(spots))
    move = np.stack([np.bincount(who, moves[:, k], len(spots)) for k in (0, 1)], axis=1)
    return np.asarray(move, np.float64), np.asarray(count, np.float64)

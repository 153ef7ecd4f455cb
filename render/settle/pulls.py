"""How hard each piece of thread pulls."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.threads.network import Kind, LaidThreads

Indices = NDArray[np.int64]

# A worker is drawn close round its pin, so that the outermost passive lies beside it.
TURN_PULL = 3.0
# A gimp is drawn straight, but not out of its place.
GIMP_PULL = 1.0


@dataclass(frozen=True, eq=False)
class Pieces:
    """The pieces of thread between one node and the next.

    Attributes
    ----------
    visit
        (E,) the visit each piece begins with.
    nodes
        (E, 2) from which node to which.
    leg
        (E,) the leg it lies on, -1 inside a stitch.
    group
        (E,) pieces that share one force per length.
    pull
        (E,) tension.
    twin
        (E,) whether another thread runs between the same two nodes.
    side
        (E,) where it lies beside its twin: -1 the maker's left, +1 the right.
    """

    visit: Indices
    nodes: Indices
    leg: Indices
    group: Indices
    pull: NDArray[np.float64]
    twin: NDArray[np.bool_]
    side: Indices


def find_pieces(laid: LaidThreads) -> Pieces:
    """Cut all threads at their nodes."""
    plan = laid.plan
    visit = laid.edges
    nodes = np.stack([laid.visits[visit], laid.visits[visit + 1]], axis=1)
    leg = laid.arriving[visit + 1]
    area = _areas(laid, nodes, leg)
    areas, legs = len(plan.pricking.areas), len(plan.twists)
    group = np.where(leg >= 0, areas + leg, areas + legs + laid.stitch[nodes[:, 1]])
    group = np.where(area >= 0, area, group)
    # Along a gimp the pull is the same from tip to tip.
    thread = laid.thread[visit]
    gimp = laid.pair[thread] < 0
    group = np.where(gimp, areas + legs + len(plan.moves) + thread, group)
    _, group = np.unique(group, return_inverse=True)
    turning = (leg >= 0) & (plan.turn[leg] >= 0)
    pull = np.where((area >= 0) & turning, TURN_PULL, 1.0)
    key = nodes[:, 0] * len(laid.kind) + nodes[:, 1]
    _, number, times = np.unique(key, return_inverse=True, return_counts=True)
    pull[gimp] = GIMP_PULL
    from_left = laid.left[nodes[:, 0]] == thread
    side = np.where(from_left == (laid.kind[nodes[:, 0]] == Kind.CROSSING), 1, -1)
    return Pieces(visit, nodes, leg, group, pull, times[number] > 1, side)


def _areas(laid: LaidThreads, nodes: Indices, leg: Indices) -> Indices:
    """Return the area each piece lies in, -1 for ground and for the way from one to another."""
    plan = laid.plan
    start = np.full(len(plan.twists), -1)
    end = np.full(len(plan.twists), -1)
    start[plan.given.ravel()] = np.repeat(plan.area, 2)
    end[plan.taken.ravel()] = np.repeat(plan.area, 2)
    on_leg = np.where(start == end, start, -1)[leg]
    stitch = laid.stitch[nodes[:, 1]]
    inside = np.where(stitch >= 0, plan.area[stitch], -1)
    return np.where(leg >= 0, on_leg, inside)

"""Whether gimps can lie among the legs without crossing each other."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from render.plan.model import Gimp, WorkingPlan

Indices = NDArray[np.int64]


def lie_flat(plan: WorkingPlan, gimps: Sequence[Gimp]) -> bool:
    """Tell whether a map of legs and gimps can be drawn in the plane.

    Stitches, passings and loose ends are its corners; the order of legs and gimps round each is
    known from the work. Such a map is flat just when corners - edges + faces is twice the number
    of its pieces that hang together.

    References
    ----------
    .. L. Euler's formula, for maps given by the order round their corners: J. Edmonds, "A
       combinatorial representation for polyhedral surfaces", Notices AMS 7 (1960) 646
    """
    corners, order = _corners(plan, gimps)
    edges, edge_of = np.unique(order, return_inverse=True)
    ends = np.argsort(edge_of, kind="stable").reshape(-1, 2)
    twin = np.empty(len(order), np.int64)
    twin[ends[:, 0]], twin[ends[:, 1]] = ends[:, 1], ends[:, 0]
    following = np.arange(1, len(order) + 1)
    first = np.flatnonzero(np.diff(corners, prepend=-1))
    following[np.append(first[1:], len(order)) - 1] = first
    joined = (corners[ends[:, 0]], corners[ends[:, 1]])
    count = int(corners.max()) + 1
    faces = _pieces(np.arange(len(order)), following[twin], len(order))
    return count - len(edges) + faces == 2 * _pieces(*joined, count)


def _pieces(first: Indices, second: Indices, count: int) -> int:
    """Return how many pieces hang together where each of `first` is joined to one of `second`."""
    graph = coo_array((np.ones(len(first)), (first, second)), shape=(count, count))
    return int(connected_components(graph, directed=False)[0])


def _corners(plan: WorkingPlan, gimps: Sequence[Gimp]) -> tuple[Indices, Indices]:
    """Return for each half-edge its corner and its edge, clockwise round one after another."""
    legs = len(plan.twists)
    stops: dict[int, list[tuple[int, float, int, int, bool]]] = {}
    # Edges of gimps are numbered after the pieces of legs, one more than passings to a gimp.
    last_piece = np.arange(legs)
    fresh = legs
    rows: list[tuple[int, ...]] = []
    for gimp in gimps:
        for passing in gimp.passings:
            row = stops.setdefault(passing.leg, [])
            row.append((passing.after, passing.along, fresh, fresh + 1, passing.rightward))
            fresh += 1
        rows += [(fresh - len(gimp.passings),), (fresh,)]
        fresh += 1
    for leg, row in stops.items():
        above = leg
        for *_, come, go, rightward in sorted(row):
            below, fresh = fresh, fresh + 1
            left, right = (come, go) if rightward else (go, come)
            rows.append((above, right, below, left))
            above = below
        last_piece[leg] = above
    rows += [(hung.leg,) for hung in plan.hangings]
    rows += [(int(last_piece[thrown.leg]),) for thrown in plan.throwings]
    taken, given = last_piece[plan.taken], plan.given
    stitches = np.stack([taken[:, 0], taken[:, 1], given[:, 1], given[:, 0]], axis=1)
    size = np.array([len(row) for row in rows], np.int64)
    corners = np.concatenate([
        np.repeat(np.arange(len(rows)), size), len(rows) + np.repeat(np.arange(len(stitches)), 4)
    ])  # fmt: skip
    order = np.concatenate(
        [np.array([edge for row in rows for edge in row], np.int64), stitches.ravel()]
    )
    return corners, order

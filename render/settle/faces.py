"""The net of threads as a map in the plane: the order of threads round each node, and the faces.

That order follows from the work alone, wherever the nodes lie.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.geometry.maps import cycles, next_in_group
from render.settle.pulls import Pieces
from render.settle.ties import (
    LOWER_LEFT,
    LOWER_RIGHT,
    UPPER_LEFT,
    UPPER_RIGHT,
    HalfEdges,
    parts_joined_by_threads,
    ties_as_hung,
    ties_beside,
)
from render.threads.network import Kind, LaidThreads

Indices = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Faces:
    """A map of N nodes and F faces, the outer one left out.

    Attributes
    ----------
    node, other
        (H,) half-edges, clockwise about one node after another: where each begins and ends.
    is_tie
        (H,) whether it is no thread but ties a pair hung in to its neighbours.
    corner
        (H,) the face that lies clockwise of each half-edge; -1 for the outer one, -2 for that
        between two threads that run side by side.
    onward
        (H,) the half-edge whose corner comes next along the edge of the same face, ends of threads
        passed over.
    rim
        Half-edges whose corner is in the outer face, clockwise round the piece from its first
        pair.
    count
        F.
    from_end, leads_to_end
        (H,) half-edges that begin and that end where a thread does.
    """

    node: Indices
    other: Indices
    is_tie: NDArray[np.bool_]
    corner: Indices
    onward: Indices
    rim: Indices
    count: int
    from_end: NDArray[np.bool_]
    leads_to_end: NDArray[np.bool_]


def find_faces(laid: LaidThreads, pieces: Pieces, at: NDArray[np.float64] | None = None) -> Faces:
    """Return the map of laid threads.

    Parameters
    ----------
    laid, pieces
        The threads.
    at
        (N, 2) in mm, where the nodes would be: parts that no thread joins then lie in each other's
        faces as they do there. None for as they were hung on the pillow.
    """
    halves = _half_edges(laid, pieces)
    threads = len(halves.node)
    if at is None:
        start = _first_start(laid, np.ones(len(laid.kind), bool))
        ties = ties_as_hung(laid)
    else:
        part = parts_joined_by_threads(halves, len(at))
        start = _first_start(laid, part == part[at[:, 0].argmin()])
        ties = ties_beside(at, halves, part, start)
    halves = halves.joined(ties)
    order = np.lexsort((halves.rank, halves.slot, halves.node))
    place = np.empty(len(order), np.int64)
    place[order] = np.arange(len(order))
    # Both lists hold what they count one way first, then all of it the other way.
    back = [np.roll(np.arange(n), n // 2) for n in (threads, len(ties.node))]
    twin = place[np.concatenate([back[0], threads + back[1]])[order]]
    is_tie = order >= threads
    node = halves.node[order]
    clockwise = next_in_group(node)
    face = cycles(clockwise[twin])
    sizes = np.bincount(face)
    corner = face[twin]
    top = int(np.flatnonzero(node == start)[-1])
    outer = corner[top]
    rim = np.array(list(_along(top, clockwise, twin)), np.int64)
    inner = np.flatnonzero((np.arange(len(sizes)) != outer) & (sizes > 2))
    number = np.where(sizes > 2, -1, -2)
    number[inner] = np.arange(len(inner))
    number[outer] = -1
    alone = np.bincount(node) == 1
    onward = twin[clockwise]
    onward = np.where(alone[node[onward]], onward[onward], onward)
    return Faces(
        node=node,
        other=node[twin],
        is_tie=is_tie,
        corner=number[corner],
        onward=onward,
        rim=rim,
        count=len(inner),
        from_end=alone[node],
        leads_to_end=alone[node[twin]],
    )


def _half_edges(laid: LaidThreads, pieces: Pieces) -> HalfEdges:
    """Return all pieces of thread from where they begin, then from where they end."""
    thread = laid.thread[pieces.visit]
    begin, end = pieces.nodes.T
    crossing = laid.kind == Kind.CROSSING
    from_left = laid.left[begin] == thread
    # The left thread of a crossing goes to the lower right, that of a start to the lower left.
    rightward = np.where(crossing[begin], from_left, ~from_left | (laid.right[begin] < 0))
    go = np.where(rightward, LOWER_RIGHT, LOWER_LEFT)
    come = np.where(crossing[end] & (laid.left[end] != thread), UPPER_RIGHT, UPPER_LEFT)
    slot = np.concatenate([go, come]).astype(float)
    begin, end = np.concatenate([begin, end]), np.concatenate([end, begin])
    return HalfEdges(begin, end, slot, np.zeros(len(slot)))


def _first_start(laid: LaidThreads, within: NDArray[np.bool_]) -> int:
    """Return where the first pair that is hung in a part of the net begins."""
    legs = np.array([hanging.leg for hanging in laid.plan.hangings], np.int64)
    starts = laid.visits[laid.starts[laid.carried[legs, 0]]]
    return int(starts[within[starts]][0])


def _along(first: int, clockwise: Indices, twin: Indices) -> Iterator[int]:
    """Yield the half-edges whose corners lie in one face, in the order of its edge."""
    half = first
    while True:
        yield half
        half = int(twin[clockwise[half]])
        if half == first:
            return

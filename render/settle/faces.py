"""The net of threads as a map in the plane: the order of threads round each node, and the faces.

That order follows from the work alone, wherever the nodes lie. Pairs hung in on the way are tied
to the pairs they are hung between, so that the map is in one piece.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.geometry.maps import cycles, next_in_group
from render.plan.planar import neighbours
from render.settle.legs import stitches_of_legs
from render.settle.pulls import Pieces
from render.threads.network import Kind, LaidThreads

Indices = NDArray[np.int64]

# Places round a node, clockwise as seen: what comes from the upper left and the upper right, what
# goes to the lower right and the lower left. Odd numbers lie between them.
UPPER_LEFT, UPPER_RIGHT, LOWER_RIGHT, LOWER_LEFT = 0, 2, 4, 6
ABOVE, RIGHT, BELOW, LEFT = 1, 3, 5, 7


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


def find_faces(laid: LaidThreads, pieces: Pieces) -> Faces:
    """Return the map of laid threads."""
    ties = np.array(list(_ties(laid)), np.float64).reshape(-1, 6)
    thread = laid.thread[pieces.visit]
    begin, end = pieces.nodes.T
    crossing = laid.kind == Kind.CROSSING
    from_left = laid.left[begin] == thread
    # The left thread of a crossing goes to the lower right, that of a start to the lower left.
    rightward = np.where(crossing[begin], from_left, ~from_left | (laid.right[begin] < 0))
    go = np.where(rightward, LOWER_RIGHT, LOWER_LEFT)
    come = np.where(crossing[end] & (laid.left[end] != thread), UPPER_RIGHT, UPPER_LEFT)
    nothing = np.zeros(len(begin))
    first, second = ties[:, 0].astype(np.int64), ties[:, 3].astype(np.int64)
    node = np.concatenate([begin, first, end, second])
    slot = np.concatenate([go, ties[:, 1], come, ties[:, 4]])
    rank = np.concatenate([nothing, ties[:, 2], nothing, ties[:, 5]])
    half = len(node) // 2
    order = np.lexsort((rank, slot, node))
    place = np.empty(len(order), np.int64)
    place[order] = np.arange(len(order))
    twin = place[(order + half) % (2 * half)]
    is_tie = np.tile(np.arange(half) >= len(begin), 2)[order]
    node = node[order]
    clockwise = next_in_group(node)
    face = cycles(clockwise[twin])
    sizes = np.bincount(face)
    corner = face[twin]
    start = int(laid.visits[laid.starts[laid.carried[laid.plan.hangings[0].leg, 0]]])
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


def _along(first: int, clockwise: Indices, twin: Indices) -> Iterator[int]:
    """Yield the half-edges whose corners lie in one face, in the order of its edge."""
    half = first
    while True:
        yield half
        half = int(twin[clockwise[half]])
        if half == first:
            return


def _ties(laid: LaidThreads) -> Iterator[tuple[float, ...]]:
    """Yield for each tie node, slot and rank of the pair hung in, and of the one beside it."""
    time = _times(laid)
    for order, (hanging, left, right) in enumerate(neighbours(laid.plan), start=1):
        start = laid.visits[laid.starts[laid.carried[hanging.leg, 0]]]
        found = []
        for leg, half, turn in ((left, 1, -1), (right, 0, 1)):
            if leg >= 0:
                thread = laid.carried[leg, half]
                low, high = laid.starts[thread : thread + 2]
                past = int(np.searchsorted(time[low:high], hanging.before))
                node = int(laid.visits[low + max(past - 1, 0)])
                found.append((node, _way(laid, node, int(thread)) + turn, -turn * order))
        if len(found) == 2 and found[0][0] != found[1][0]:
            yield start, LEFT, np.inf, *found[0]
            yield start, RIGHT, -np.inf, *found[1]
        elif found:
            yield start, ABOVE, 0.0, *found[0]


def _way(laid: LaidThreads, node: int, thread: int) -> int:
    """Return the place by which a thread leaves a node."""
    if laid.kind[node] == Kind.CROSSING:
        return LOWER_RIGHT if laid.left[node] == thread else LOWER_LEFT
    return LOWER_LEFT if laid.left[node] == thread and laid.right[node] >= 0 else LOWER_RIGHT


def _times(laid: LaidThreads) -> NDArray[np.float64]:
    """Return (V,) after how many stitches a thread passes each node."""
    _, goal = stitches_of_legs(laid.plan)
    goal = np.where(goal < 0, len(laid.plan.moves), goal)
    node = laid.visits
    at_stitch = laid.stitch[node] >= 0
    leg = np.where(laid.arriving >= 0, laid.arriving, laid.leg[node])
    return np.where(at_stitch, laid.stitch[node] + 0.5, goal[leg])

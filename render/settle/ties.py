"""What ties parts of a net that no thread joins, so that its map is in one piece.

Such parts may lie in any face of each other: either each is tied to what lies on its left, or pairs
hung in are tied to those they were hung between.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.geometry.maps import pieces
from render.plan.planar import neighbours
from render.settle.legs import stitches_of_legs
from render.threads.network import Kind, LaidThreads

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

# Places round a node, clockwise as seen: what comes from the upper left and the upper right, what
# goes to the lower right and the lower left. Odd numbers lie between them.
UPPER_LEFT, UPPER_RIGHT, LOWER_RIGHT, LOWER_LEFT = 0, 2, 4, 6
ABOVE, RIGHT, BELOW, LEFT = 1, 3, 5, 7


@dataclass(frozen=True, eq=False)
class HalfEdges:
    """Pieces of thread, or ties, as seen from one end.

    Attributes
    ----------
    node, other
        (H,) where each begins and ends.
    slot, rank
        (H,) its place round the node it begins at, clockwise, and among several at one place.
    """

    node: Indices
    other: Indices
    slot: NDArray[np.float64]
    rank: NDArray[np.float64]

    def joined(self, more: "HalfEdges") -> "HalfEdges":
        """Return these and others after them."""
        return HalfEdges(
            np.concatenate([self.node, more.node]),
            np.concatenate([self.other, more.other]),
            np.concatenate([self.slot, more.slot]),
            np.concatenate([self.rank, more.rank]),
        )


def parts_joined_by_threads(halves: HalfEdges, nodes: int) -> Indices:
    """Return (N,) the number of the part each node is in."""
    return pieces(halves.node, halves.other, nodes)


def ties_beside(at: Points, halves: HalfEdges, part: Indices, first: int) -> HalfEdges:
    """Tie every part but the leftmost one to what lies on the left of its leftmost node.

    Parameters
    ----------
    at
        (N, 2) where the nodes would be, in mm: it tells which part lies in which face.
    halves
        All pieces of thread, both ways.
    part
        (N,) the part each node is in.
    first
        Where a pair of the leftmost part begins, above which nothing was worked: there is tied what
        has nothing on its left.

    Returns
    -------
    The ties, one way after the other: tie k and tie k + Q of 2 Q are the same.
    """
    firm = np.bincount(halves.node, minlength=len(at)) > 1
    edge = np.flatnonzero((halves.node < halves.other) & firm[halves.node] & firm[halves.other])
    left_most = np.lexsort((at[:, 1], at[:, 0]))
    left_most = left_most[firm[left_most]]
    _, order = np.unique(part[left_most], return_index=True)
    ends: list[tuple[int, float, float]] = []
    others: list[tuple[int, float, float]] = []
    for node in left_most[order].tolist():
        if part[node] == part[first]:
            continue
        mine = np.flatnonzero(halves.node == node)
        bearing = _bearing(at[halves.other[mine]] - at[node])
        # Everything goes to the right from here.
        last = np.lexsort((halves.slot[mine], bearing))[-1]
        ends.append((node, float(halves.slot[mine[last]]) + 0.5, 0.0))
        beside = _on_left(at, halves, edge[part[halves.node[edge]] != part[node]], node)
        others.append(beside or (first, float(LEFT), float(at[node, 1])))
    both = np.array([*ends, *others]).reshape(-1, 3)
    node, count = both[:, 0].astype(np.int64), len(ends)
    return HalfEdges(node, np.roll(node, count), both[:, 1], both[:, 2])


def _on_left(
    at: Points, halves: HalfEdges, edge: Indices, node: int
) -> tuple[int, float, float] | None:
    """Return the end, with its place and rank, of the piece next to a node on its left."""
    a, b = at[halves.node[edge]] - at[node], at[halves.other[edge]] - at[node]
    level = np.flatnonzero((a[:, 1] > 0) != (b[:, 1] > 0))
    a, b = a[level], b[level]
    x = a[:, 0] - a[:, 1] * (b - a)[:, 0] / (b - a)[:, 1]
    if not (x < 0).any():
        return None
    near = int(np.where(x < 0, x, -np.inf).argmax())
    one, two = int(halves.node[edge[level[near]]]), int(halves.other[edge[level[near]]])
    if np.hypot(*b[near]) < np.hypot(*a[near]):
        one, two = two, one
    # Of two threads side by side the tie comes beside the one on the right.
    slots = halves.slot[(halves.node == one) & (halves.other == two)]
    turn = np.mod(_bearing(at[node] - at[one]) - _bearing(at[two] - at[one]), 2 * np.pi)
    downwards = at[two, 1] > at[one, 1]
    slot = slots.min() - 0.5 if downwards else slots.max() + 0.5
    return one, float(slot), float(turn)


def _bearing(run: Points) -> NDArray[np.float64]:
    """Return the clockwise angles of directions from the top of the page, 0 to a full turn."""
    return np.asarray(np.round(np.mod(np.arctan2(run[..., 0], -run[..., 1]), 2 * np.pi), 9))


def ties_as_hung(laid: LaidThreads) -> HalfEdges:
    """Tie every pair hung in to the pairs it is hung between."""
    found = np.array(list(_between_neighbours(laid)), np.float64).reshape(-1, 6)
    both = np.concatenate([found[:, :3], found[:, 3:]])
    node = both[:, 0].astype(np.int64)
    return HalfEdges(node, np.roll(node, len(found)), both[:, 1], both[:, 2])


def _between_neighbours(laid: LaidThreads) -> Iterator[tuple[float, ...]]:
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

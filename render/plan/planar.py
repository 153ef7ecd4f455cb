"""Whether a plan can be drawn in the plane so that pairs meet at its stitches and sewings only.

Round each stitch the order of its legs is known from the work; so is the order of pairs that are
hung in: that is a map of which Euler's formula tells whether it lies in the plane.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from render.geometry import maps
from render.plan.model import Hanging, Sewing, WorkingPlan

# Places round a node, clockwise as seen; what ties pairs together stands between them.
UPPER_LEFT, UPPER_RIGHT, LOWER_RIGHT, LOWER_LEFT = 0, 2, 4, 6
ABOVE, RIGHT, LEFT = 1, 3, 7
# An end of an edge: at which node, at which place round it, and which comes first of several there.
End = tuple[int, int, float]


def lies_flat(plan: WorkingPlan, sewings: Sequence[Sewing]) -> bool:
    """Tell whether a plan with these sewings can be drawn in the plane."""
    edges = [*_edges(plan, sewings), *_ties(plan)]
    ends = np.array([end for edge in edges for end in edge])
    order = np.lexsort(ends.T[::-1])
    node = ends[order, 0].astype(np.int64)
    place = np.empty(len(order), np.int64)
    place[order] = np.arange(len(order))
    return maps.lies_flat(node, place[order ^ 1], maps.next_in_group(node))


def neighbours(plan: WorkingPlan) -> Iterator[tuple[Hanging, int, int]]:
    """Yield each hanging but the first with the legs on its left and right, -1 for none.

    Where nothing hangs any more, that is the leg thrown out last.
    """
    right_of, left_of = {-1: -1}, {-1: -1}
    hangings, throwings = list(plan.hangings[::-1]), list(plan.throwings[::-1])
    last = -1
    for number in range(len(plan.moves) + 1):
        while hangings and hangings[-1].before <= number:
            hanging = hangings.pop()
            left, right = hanging.beside, right_of[hanging.beside]
            if last >= 0:
                yield hanging, last if left < 0 and right < 0 else left, right
            _join(left_of, right_of, left, hanging.leg)
            _join(left_of, right_of, hanging.leg, right)
            last = hanging.leg
        while throwings and throwings[-1].after <= number:
            last = throwings.pop().leg
            _join(left_of, right_of, left_of.pop(last), right_of.pop(last))
        if number < len(plan.moves):
            taken, given = plan.taken[number].tolist(), plan.given[number].tolist()
            before, after = left_of.pop(taken[0]), right_of.pop(taken[1])
            del right_of[taken[0]], left_of[taken[1]]
            for left, right in pairwise((before, *given, after)):
                _join(left_of, right_of, left, right)


def _join(left_of: dict[int, int], right_of: dict[int, int], left: int, right: int) -> None:
    """Let two legs hang side by side; -1 stands beyond both ends."""
    right_of[left] = right
    left_of[right] = left


def _begin(plan: WorkingPlan) -> dict[int, tuple[int, int]]:
    """Return the node and the place at which each leg begins: a stitch, or where it is hung."""
    found = {
        leg: (stitch, slot)
        for stitch, legs in enumerate(plan.given.tolist())
        for leg, slot in zip(legs, (LOWER_LEFT, LOWER_RIGHT), strict=True)
    }
    fresh = len(plan.moves)
    return found | {h.leg: (fresh + k, LOWER_LEFT) for k, h in enumerate(plan.hangings)}


def _edges(plan: WorkingPlan, sewings: Sequence[Sewing]) -> Iterator[tuple[End, End]]:
    """Yield the legs, cut where they are sewn: a sewing is two nodes, one either side of a pin."""
    goal = {
        leg: (stitch, slot)
        for stitch, legs in enumerate(plan.taken.tolist())
        for leg, slot in zip(legs, (UPPER_LEFT, UPPER_RIGHT), strict=True)
    }
    fresh = len(plan.moves) + len(plan.hangings)
    goal |= {t.leg: (fresh + k, UPPER_LEFT) for k, t in enumerate(plan.throwings)}
    fresh += len(plan.throwings)
    passed: dict[int, list[tuple[int, bool]]] = {}
    for k, sewing in enumerate(sewings):
        going_in, going_out = fresh + 2 * k, fresh + 2 * k + 1
        turns = plan.turn_side[[sewing.to, sewing.leg]].tolist()
        # Which of the two comes from the left where the earlier one goes in, and where it goes out.
        left_in = turns[1] < 0
        passed[sewing.to] = [(going_in, left_in), (going_out, not left_in)]
        later = [(going_in, not left_in), (going_out, left_in)]
        passed[sewing.leg] = later[::-1] if turns[0] == turns[1] else later
    for leg, (node, slot) in _begin(plan).items():
        here: End = (node, slot, 0.0)
        for other, from_left in passed.get(leg, ()):
            yield here, (other, UPPER_LEFT if from_left else UPPER_RIGHT, 0.0)
            here = (other, LOWER_RIGHT if from_left else LOWER_LEFT, 0.0)
        yield here, (*goal[leg], 0.0)


def _ties(plan: WorkingPlan) -> Iterator[tuple[End, End]]:
    """Yield what ties each pair that is hung in to those it hangs between."""
    begin = _begin(plan)
    for order, (hanging, left, right) in enumerate(neighbours(plan), start=1):
        node, _ = begin[hanging.leg]
        found = [
            (begin[leg][0], begin[leg][1] + turn, -turn * float(order))
            for leg, turn in ((left, -1), (right, 1))
            if leg >= 0
        ]
        if len(found) == 2 and found[0][0] != found[1][0]:
            yield (node, LEFT, np.inf), found[0]
            yield (node, RIGHT, -np.inf), found[1]
        elif found:
            yield (node, ABOVE, 0.0), found[0]

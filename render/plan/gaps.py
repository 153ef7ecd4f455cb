"""The gaps between pairs, from the stitch where each opens to the one where it closes."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.plan.model import WorkingPlan

Indices = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Gaps:
    """What lies on either side of each leg.

    Attributes
    ----------
    left, right
        (L,) numbers of gaps: legs that have one in common can be reached from each other without
        passing a pair.
    outer
        That of what lies round the piece.
    """

    left: Indices
    right: Indices
    outer: int


def find_gaps(plan: WorkingPlan) -> Gaps:
    """Follow the gaps of a plan through its work.

    A stitch closes the gap between the two pairs it takes and opens one between those it lets go.
    So does a pair that is hung between two others: a gimp passes it below the place where it hangs.
    Where a pair is thrown out two gaps become one.
    """
    legs = len(plan.twists)
    # The last entry, that of leg -1, stands for what lies beyond all pairs.
    left, right = np.zeros(legs + 1, np.int64), np.zeros(legs + 1, np.int64)
    left_of, right_of = {-1: -1}, {-1: -1}
    same = [0]

    def found(gap: int) -> int:
        while same[gap] != gap:
            same[gap] = same[same[gap]]
            gap = same[gap]
        return gap

    def join(before: int, after: int) -> None:
        """Let two legs hang side by side with a new gap between them."""
        right_of[before], left_of[after] = after, before
        if before < 0 or after < 0:
            right[before] = left[after] = 0
            return
        right[before] = left[after] = len(same)
        same.append(len(same))

    hangings, throwings = list(plan.hangings[::-1]), list(plan.throwings[::-1])
    taken, given = plan.taken.tolist(), plan.given.tolist()
    for number in range(len(plan.moves) + 1):
        while hangings and hangings[-1].before <= number:
            hung = hangings.pop()
            beyond = right_of[hung.beside]
            join(hung.beside, hung.leg)
            join(hung.leg, beyond)
        while throwings and throwings[-1].after <= number:
            leg = throwings.pop().leg
            before, after = left_of.pop(leg), right_of.pop(leg)
            same[found(int(left[leg]))] = found(int(right[leg]))
            right_of[before], left_of[after] = after, before
        if number < len(plan.moves):
            (a, b), (c, d) = taken[number], given[number]
            before, after = left_of.pop(a), right_of.pop(b)
            del right_of[a], left_of[b]
            right_of[before], left_of[after] = c, d
            left_of[c], right_of[d] = before, after
            left[c], right[d] = left[a], right[b]
            join(c, d)
    number_of = np.array([found(gap) for gap in range(len(same))])
    return Gaps(number_of[left[:-1]], number_of[right[:-1]], int(number_of[0]))

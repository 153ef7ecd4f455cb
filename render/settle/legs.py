"""Where legs come from and go, and which way up the work is there."""

import numpy as np
from numpy.typing import NDArray

from render.plan.model import WorkingPlan

Points = NDArray[np.float64]


def upright_at(plan: WorkingPlan, hole: int, stitch: int = -1) -> Points:
    """Return (2, 2) the maker's right and the working direction at a hole.

    Without a hole, those where a stitch is worked, or of the whole piece.
    """
    if hole < 0 <= stitch:
        hole = int(plan.hole[stitch])
    if hole < 0:
        return np.stack([plan.pricking.across, plan.pricking.down])
    x, y = plan.down[hole]
    return np.array([(y, -x), (x, y)])


def stitches_of_legs(plan: WorkingPlan) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return for each leg the stitch it comes from and the one it goes to, -1 for none."""
    source = np.full(len(plan.twists), -1)
    goal = np.full(len(plan.twists), -1)
    count = np.arange(len(plan.moves))
    source[plan.given.ravel()] = np.repeat(count, 2)
    goal[plan.taken.ravel()] = np.repeat(count, 2)
    return source, goal


def legs_thrown_out(plan: WorkingPlan) -> NDArray[np.bool_]:
    """Return (L,) which legs are thrown out on the way."""
    thrown = np.zeros(len(plan.twists), bool)
    thrown[[t.leg for t in plan.throwings if not t.end]] = True
    return thrown

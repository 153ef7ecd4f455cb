"""Where legs run: from which stitch to which, and where loose ends lie."""

import numpy as np
from numpy.typing import NDArray

from render.plan.model import WorkingPlan

# How far threads run on beyond the last stitch, as a share of the usual spacing of holes.
TAIL = 0.8
# How far a pair that is sewn on runs towards the place: it is tied just before.
SEWN_REACH = 0.95


def leg_ends(plan: WorkingPlan) -> NDArray[np.float64]:
    """Return (L, 2, 2) where each leg comes from and where it goes, in mm."""
    ends = np.full((len(plan.twists), 2, 2), np.nan)
    ends[plan.given.ravel(), 0] = np.repeat(plan.at, 2, axis=0)
    ends[plan.taken.ravel(), 1] = np.repeat(plan.at, 2, axis=0)
    for hanging in plan.hangings:
        ends[hanging.leg, 0] = hanging.at
    length = TAIL * float(np.median(plan.pricking.spacing))
    cloth = np.zeros(len(ends), bool)
    cloth[plan.given.ravel()] = np.repeat(plan.area >= 0, 2)
    for throwing in plan.throwings:
        # Threads that come out of an area hang straight down; a pair thrown out on the way is
        # cut off close to its last stitch.
        if throwing.sewn is not None:
            run = np.array(throwing.sewn) - ends[throwing.leg, 0]
            ends[throwing.leg, 1] = ends[throwing.leg, 0] + SEWN_REACH * run
            continue
        hangs_down = cloth[throwing.leg] and throwing.area < 0
        toward = plan.pricking.down if hangs_down else np.array(throwing.toward)
        tail = length if throwing.end else 0.25 * length
        ends[throwing.leg, 1] = ends[throwing.leg, 0] + tail * toward
    return ends

"""More twists for the legs of a ground than its stitch leaves on them."""

from dataclasses import replace

import numpy as np

from render.plan.model import WorkingPlan
from render.plan.stitches import STITCHES

# Not ground, though outside areas; a leaf and a plait have twists of their own.
_LINES = ("footside", "plait", "leaf", "square-leaf")


def twist_legs(plan: WorkingPlan, more: int) -> WorkingPlan:
    """Return a plan in which every leg of ground has more twists.

    Parameters
    ----------
    plan
        Any plan.
    more
        Twists beyond those of the stitch, 0 or more, for each pair that comes from a stitch of
        ground or goes to one.
    """
    if not more:
        return plan
    ground = np.array([word not in (*STITCHES, *_LINES) for word in plan.technique], bool)
    twists = plan.twists.copy()
    legs = np.unique(np.concatenate([plan.given[ground].ravel(), plan.taken[ground].ravel()]))
    # A pair that has just been hung or that ends is on no way from stitch to stitch.
    between = np.intersect1d(plan.given.ravel(), plan.taken.ravel())
    twists[np.intersect1d(legs, between)] += more
    return replace(plan, twists=twists)

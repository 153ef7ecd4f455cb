"""Pins that the threads worked at them do not reach."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.plan.model import WorkingPlan
from render.threads.model import ThreadPaths

# A pin is out of reach when no thread comes nearer than this share of the way to the next hole.
OUT_OF_REACH = 0.5


def pins_out_of_reach(plan: WorkingPlan, paths: ThreadPaths) -> NDArray[np.int64]:
    """Return the holes that are worked but near which no thread lies.

    Threads keep their order whatever is asked of them. Where areas are marked over each other, or
    pairs would have to be in two places, they come to lie away from their pins.

    Parameters
    ----------
    plan
        What was worked.
    paths
        Its threads, while the pins hold.
    """
    used = np.unique(np.concatenate([plan.hole, plan.turn]))
    used = used[used >= 0]
    if not len(used):
        return used
    pricking = plan.pricking
    # There are few holes and many points: a tree that is quick to build serves best.
    tree = cKDTree(paths.points[:, :2], balanced_tree=False, compact_nodes=False)
    apart = np.asarray(tree.query(pricking.holes[used])[0])
    return np.asarray(used[apart > OUT_OF_REACH * pricking.spacing[used]])

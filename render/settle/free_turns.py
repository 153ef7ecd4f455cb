"""What holds a worker that turns without a pin: the edge pins above and below it."""

import numpy as np
from numpy.typing import NDArray

from render.plan.stitches import TURNING
from render.settle.legs import stitches_of_legs
from render.threads.network import LaidThreads

Points = NDArray[np.float64]

# How hard the edge holds the stitches beside a turn without a pin.
FREE_TURN_HOLD = 1.0


def hold_free_turns(laid: LaidThreads, target: Points, hold: NDArray[np.float64]) -> None:
    """Hold stitches beside turns without a pin on the edge of their area.

    The passives that run from pin to pin along the edge keep the worker from drawing it in.

    Parameters
    ----------
    laid
        The threads.
    target, hold
        Anchors that are to be changed.
    """
    plan = laid.plan
    turning = [s for s, moves in enumerate(plan.moves) if moves == TURNING and plan.area[s] >= 0]
    # In half stitch the same two pairs meet twice in a row.
    before = stitches_of_legs(plan)[0][plan.taken]
    again = (before[:, 0] == before[:, 1]) & (before[:, 0] >= 0) & (plan.area >= 0)
    again &= (plan.turn[plan.taken] < 0).all(axis=1)
    turning += [*np.flatnonzero(again).tolist(), *before[again, 0].tolist()]
    held = np.flatnonzero(np.isin(laid.stitch, turning))
    target[held] = plan.at[laid.stitch[held]]
    hold[held] = FREE_TURN_HOLD

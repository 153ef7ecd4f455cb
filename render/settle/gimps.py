"""What holds gimps where they are drawn."""

import numpy as np
from numpy.typing import NDArray

from render.threads.network import Kind, LaidThreads

# How hard a gimp is held where it is drawn, by state, and where it begins and ends.
GIMP_HOLD = {"pillow": 1.0, "finished": 0.5}
TIP_HOLD = 3.0


def hold_gimps(laid: LaidThreads, state: str, hold: NDArray[np.float64]) -> None:
    """Hold gimps weakly: pins and pairs may push them aside.

    Parameters
    ----------
    laid
        The threads.
    state
        ``pillow`` or ``finished``.
    hold
        (N,) multiples of the pull of the threads, changed in place.
    """
    hold[laid.passing >= 0] = GIMP_HOLD[state]
    hold[laid.kind == Kind.TIP] = TIP_HOLD

"""Where a piece begins and ends: ports with nothing beyond them."""

import numpy as np
from numpy.typing import NDArray

from render.plan.ground import LEFT, RIGHT, Links
from render.pricking.model import Pricking

# A port is open when no hole lies within this angle of its direction.
OPENING = np.cos(np.deg2rad(24))


def open_ports(pricking: Pricking, links: Links) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Tell which ports look out of the piece.

    Returns
    -------
    (N, 2) true where nothing lies to the upper left, upper right; (N, 2) where nothing lies to the
    lower left, lower right.
    """
    count = len(pricking.holes)
    sky = np.zeros((count, 2), bool)
    floor = np.zeros((count, 2), bool)
    linked_low = {(a, p) for a, p in zip(links.source.tolist(), links.port.tolist(), strict=True)}
    linked_up = {
        (b, 1 - p) for b, p in zip(links.target.tolist(), links.port.tolist(), strict=True)
    }
    for hole in range(count):
        for port in (LEFT, RIGHT):
            if (hole, port) not in linked_low:
                step = links.step[hole, port]
                floor[hole, port] = _open(pricking, hole, step, pricking.down)
            if (hole, port) not in linked_up:
                step = -links.step[hole, 1 - port]
                sky[hole, port] = _open(pricking, hole, step, -pricking.down)
    return sky, floor


def _open(
    pricking: Pricking, hole: int, step: NDArray[np.float64], straight: NDArray[np.float64]
) -> bool:
    """Tell whether nothing lies along a port, or straight above or below: a slanted border."""
    return _nothing_beyond(pricking, hole, step) or _nothing_beyond(pricking, hole, straight)


def _nothing_beyond(pricking: Pricking, hole: int, direction: NDArray[np.float64]) -> bool:
    size = float(np.hypot(*direction))
    if size == 0:
        return True
    run = pricking.holes - pricking.holes[hole]
    distance = np.hypot(*run.T)
    ahead = run @ (direction / size)
    return not bool(((ahead > OPENING * distance) & (distance > 0)).any())

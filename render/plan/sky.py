"""Where a piece begins and ends: ports with nothing beyond them."""

import numpy as np
from numpy.typing import NDArray

from render.plan.ground import Links
from render.plan.steps import LEFT, RIGHT
from render.pricking.model import Pricking

# A port is open when no hole lies within this angle of its direction.
OPENING = np.cos(np.deg2rad(24))
# What lies farther off than this many steps, no pair would wait for (see traffic.WAITING_REACH).
FAR = 4.0


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
    cut_low = {(a, p) for a, _, p in links.seam.tolist()}
    cut_up = {(b, 1 - p) for _, b, p in links.seam.tolist()}
    for hole in range(count):
        for port in (LEFT, RIGHT):
            if (hole, port) not in linked_low:
                step = links.step[hole, port]
                floor[hole, port] = (hole, port) in cut_low or _open(
                    pricking, hole, step, links.down[hole]
                )
            if (hole, port) not in linked_up:
                step = -links.step[hole, 1 - port]
                sky[hole, port] = (hole, port) in cut_up or _open(
                    pricking, hole, step, -links.down[hole]
                )
    return sky, floor


def _open(
    pricking: Pricking, hole: int, step: NDArray[np.float64], straight: NDArray[np.float64]
) -> bool:
    """Tell whether nothing lies along a port, or straight above or below: a slanted border."""
    size = float(np.hypot(*step))
    return _nothing_beyond(pricking, hole, step, size) or _nothing_beyond(
        pricking, hole, straight, size
    )


def _nothing_beyond(
    pricking: Pricking, hole: int, direction: NDArray[np.float64], size: float
) -> bool:
    length = float(np.hypot(*direction))
    if length == 0:
        return True
    run = pricking.holes - pricking.holes[hole]
    distance = np.hypot(*run.T)
    ahead = run @ (direction / length) > OPENING * distance
    return not bool((ahead & (distance > 0) & (distance < FAR * size)).any())

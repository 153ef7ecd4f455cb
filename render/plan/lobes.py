"""Lobes of an outline: where an area has more than one top, or more than one bottom.

A heart has two tops: each is begun by itself, and the two are worked on as one from the cleft
between them. Turned upside down it divides at the cleft, and each lobe ends by itself (common
practice, no source).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.plan.rails import RIGHT

Points = NDArray[np.float64]

# A cleft is at least so deep, in spacings of the holes along the outline.
DEEP = 1.2


@dataclass(frozen=True)
class Lobe:
    """A lobe along a rail.

    Attributes
    ----------
    deep, high
        Positions along the rail: of a further top the cleft before it and its tip, of a further
        bottom its tip and the cleft after it.
    is_top
        Which of these it is.
    """

    deep: int
    high: int
    is_top: bool


def find_lobes(spots: Points, along: Points, side: int) -> list[Lobe]:
    """Find the lobes down one rail of an area.

    Parameters
    ----------
    spots
        (n, 2) the holes of the rail in mm, from the first tip of the area to its last.
    along
        (2,) unit vector in which the area is worked.
    side
        Which of its rails this is.

    Returns
    -------
    From the first on along the rail.
    """
    steps = np.hypot(*np.diff(spots, axis=0).T)
    turns = _turns((spots @ along).tolist(), DEEP * float(np.median(steps)))
    found = []
    for before, deep, high in zip(turns[:-2:2], turns[1:-1:2], turns[2::2], strict=True):
        down, up = spots[deep] - spots[before], spots[high] - spots[deep]
        # Down the right rail the area lies on the right hand; so a cleft is a turn to the left.
        outward = float(down[0] * up[1] - down[1] * up[0]) * (-1 if side == RIGHT else 1)
        found.append(Lobe(deep, high, is_top=outward > 0))
    return found


def _turns(depth: Sequence[float], least: float) -> list[int]:
    """Return the first position, then by turns the deepest and the highest of each dent.

    What goes up or down again by less than `least` is no dent.
    """
    turns, best, rising = [0], 0, False
    for k, d in enumerate(depth):
        onward = d < depth[best] if rising else d > depth[best]
        if onward:
            best = k
        elif abs(d - depth[best]) >= least:
            turns.append(best)
            best, rising = k, not rising
    return turns if len(turns) % 2 else turns[:-1]

"""Footside lines: their holes in working order, and which side of the work they are."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.plan.steps import LEFT, RIGHT
from render.plan.stitches import STITCHES
from render.pricking.model import Pricking

Points = NDArray[np.float64]


@dataclass(frozen=True)
class Footing:
    """A footside line and what is to be worked along it."""

    run: int
    outside: int
    moves: str
    passives: int


def find_footings(pricking: Pricking) -> dict[int, Footing]:
    """Return for each footside hole, in working order, what is worked there."""
    found: dict[int, Footing] = {}
    for number, run in enumerate(pricking.runs):
        holes = [h for h in run.holes.tolist() if not pricking.owners[h]]
        if run.word != "footside" or not holes:
            continue
        spots = pricking.holes[holes]
        if (spots[-1] - spots[0]) @ pricking.down < 0:
            holes, spots = holes[::-1], spots[::-1]
        outside = _outside(pricking, spots, np.delete(pricking.holes, holes, axis=0))
        moves = STITCHES[run.options.get("stitch", "double")]
        passives = int(run.options.get("passives", "1"))
        found |= dict.fromkeys(holes, Footing(number, outside, moves, passives))
    return found


def _outside(pricking: Pricking, spots: Points, others: Points) -> int:
    """Return the side of a footside, given its holes in working order, on which no others lie."""
    if not len(others):
        return LEFT
    way = np.gradient(spots, axis=0) if len(spots) > 1 else pricking.down[None]
    inward = others[np.asarray(cKDTree(others).query(spots)[1])] - spots
    # With y down the page the maker's right of (x, y) is (y, -x).
    rightward = (inward[:, 0] * way[:, 1] - inward[:, 1] * way[:, 0]).sum()
    return LEFT if rightward >= 0 else RIGHT

"""What holds sewings in place: two loops round one pin that clasp each other, or touch."""

import numpy as np
from numpy.typing import NDArray

from render.threads.network import Kind, LaidThreads
from render.threads.sewing import IN, clasps, of_one_pair

Points = NDArray[np.float64]

# How hard the crossings of a sewing are held about its pin.
CLASP_HOLD = 8.0
# How much further from its pin a turn keeps the outermost passive where a loop is sewn to it, in
# gauges: that loop lies between.
CLASP_ROOM = 2.2
# A loop that is tied beside another ends so many gauges outside the threads next to the pin, and
# keeps its passive so many further away.
TIED_AT, TIED_ROOM = 3.0, 4.4


def tied_legs(laid: LaidThreads) -> frozenset[int]:
    """Return the legs that are tied beside an earlier loop of their own threads."""
    found = (s for s in laid.plan.sewings if of_one_pair(s, laid.carried))
    return frozenset(sewing.leg for sewing in found)


def room_of_turns(laid: LaidThreads) -> dict[int, float]:
    """Return for each leg at a sewing how much further from the pin its passive lies, in gauges."""
    tied = tied_legs(laid)
    room = {s.leg: TIED_ROOM for s in laid.plan.sewings if s.leg in tied}
    return room | {s.to: CLASP_ROOM for s in laid.plan.sewings if s.leg not in tied}


def lie_beside(laid: LaidThreads, target: Points, gauge_mm: float, around: float) -> None:
    """Put the bends of loops that are tied beside others on their own side of the pin.

    Parameters
    ----------
    laid
        The threads.
    target
        Anchors that are to be changed: those of the bends lie beyond the pin.
    gauge_mm, around
        Diameter of the threads, and distance from the middle of a pin to a thread round it.
    """
    tied = tied_legs(laid)
    for node in np.flatnonzero(laid.kind == Kind.BEND).tolist():
        leg = int(laid.leg[node])
        if leg in tied:
            pin = laid.plan.pricking.holes[laid.plan.turn[leg]]
            out = target[node] - pin
            out /= max(float(np.hypot(*out)), 1e-9)
            target[node] = pin - out * (around + (TIED_AT - laid.ring[node]) * gauge_mm)


def hold_clasps(
    laid: LaidThreads, target: Points, hold: NDArray[np.float64], gauge_mm: float, around: float
) -> None:
    """Hold the crossings of sewings where the circles of two loops meet their straight ways.

    Parameters
    ----------
    laid
        The threads.
    target, hold
        Anchors that are to be changed; those of the bends are known.
    gauge_mm, around
        Diameter of the threads, and distance from the middle of a pin to a thread round it.
    """
    lie_beside(laid, target, gauge_mm, around)
    plan = laid.plan
    bends: dict[int, int] = {}
    for node in np.flatnonzero(laid.kind == Kind.BEND).tolist():
        bends.setdefault(int(laid.leg[node]), node)
    clasped = [sewing for sewing in plan.sewings if not of_one_pair(sewing, laid.carried)]
    for sewing, nodes in zip(clasped, clasps(laid), strict=True):
        pin = plan.pricking.holes[sewing.hole]
        back = pin - target[bends[sewing.to]]
        back /= max(float(np.hypot(*back)), 1e-9)
        aside = plan.turn_side[sewing.to] * np.array([-back[1], back[0]])
        for (way, a, b), node in np.ndenumerate(nodes):
            near, far = around + a * gauge_mm, around + (2 + b) * gauge_mm
            lift = near if way == IN else -near
            target[node] = pin + float(np.sqrt(far**2 - near**2)) * back + lift * aside
            hold[node] = CLASP_HOLD

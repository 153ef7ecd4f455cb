"""What holds gimps where they are drawn, and how pairs lie round them."""

import numpy as np
from numpy.typing import NDArray

from render.settle.curve import Curves
from render.settle.thickness import gauges_of
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


def lie_round_gimps(
    laid: LaidThreads,
    curves: Curves,
    knots: NDArray[np.float64],
    height: NDArray[np.float64],
    gauge_mm: float,
) -> NDArray[np.float64]:
    """Return (P,) heights in which pairs lie round the gimps between their threads.

    A thread that rises and falls evenly from one crossing to the next would cut through the sides
    of what is much thicker than itself.

    Parameters
    ----------
    laid, curves
        The threads.
    knots
        (V,) the point at which each visit is passed, with its fraction to the next point.
    height
        (P,) heights at crossings and evenly between them, in mm.
    gauge_mm
        Diameter of the threads of pairs.
    """
    if not laid.plan.gimps:
        return height
    high = height.copy()
    node, thread = laid.visits, laid.thread
    passed = np.flatnonzero((laid.passing >= 0)[node])
    is_gimp = laid.pair[thread[passed]] < 0
    gimp_at = dict(zip(node[passed[is_gimp]].tolist(), passed[is_gimp].tolist(), strict=True))
    way = np.cumsum(np.hypot(*np.diff(curves.points, axis=0, prepend=curves.points[:1]).T))
    knot = np.interp(knots, np.arange(len(way)), way)
    gauges = gauges_of(laid, gauge_mm)
    for visit in passed[~is_gimp].tolist():
        gimp = gimp_at[int(node[visit])]
        first = max(int(np.ceil(knots[visit - 1])), 0)
        here = np.arange(first, int(knots[visit + 1]) + 1)
        begin = min(int(knots[gimp]), len(high) - 2)
        run = curves.points[begin + 1] - curves.points[begin]
        run /= max(float(np.hypot(*run)), 1e-9)
        off = curves.points[here] - _at(curves.points, float(knots[visit]))
        reach = float(gauges[thread[visit]] + gauges[thread[gimp]]) / 2
        beside = off[:, 0] * run[1] - off[:, 1] * run[0]
        above = np.sqrt(np.maximum(reach**2 - beside**2, 0.0))
        side = 1.0 if laid.over[node[visit]] == thread[visit] else -1.0
        lift = side * (_at(height, float(knots[gimp])) - height[here]) + above
        # What crosses next keeps its height.
        apart = np.minimum(way[here] - knot[visit - 1], knot[visit + 1] - way[here])
        share = np.clip(apart / gauge_mm - 0.5, 0.0, 1.0) * (above > 0)
        high[here] = height[here] + side * np.maximum(share * lift, 0.0)
    return high


def _at(values: NDArray[np.float64], place: float) -> NDArray[np.float64]:
    """Return what lies at a row and a fraction of the way to the next one."""
    row = int(place)
    share = place - row
    following = values[min(row + 1, len(values) - 1)]
    return np.asarray((1 - share) * values[row] + share * following)

"""Where the threads of plaits, leaves and their crossings lie: firm, in their drawn shape."""

import numpy as np
from numpy.typing import NDArray

from render.plan.stitches import MOVES, PAIR_MOVES, WEAVER_MOVES
from render.settle.legs import stitches_of_legs
from render.settle.tension import FIXED
from render.threads.network import LaidThreads

Points = NDArray[np.float64]

# Lengths in gauges: how far the outer crossings of a plait lie from its middle line, how far one
# crossing lies below the other at its end, and how far from its middle the crossings of two pairs
# that pass each other as one.
PLAIT_SIDE, PLAIT_STEP, PAIR_CROSSING = 0.9, 1.05, 0.8
# From twist to twist of a pair.
TWIST_STEP = 1.5
# Threads that cross above a pin and pass on both sides of it leave it at about 45 degrees.
CORNER = 1.3


def hold_lines(
    laid: LaidThreads,
    gauge_mm: float,
    around: float,
    target: Points,
    hold: NDArray[np.float64],
) -> None:
    """Hold what is worked along lines in the shape in which it was drawn.

    Parameters
    ----------
    laid
        The threads.
    gauge_mm, around
        Diameter of the threads, and distance from the middle of a pin to a thread round it.
    target, hold
        Anchors that are to be changed.
    """
    plan = laid.plan
    if not (plan.run >= 0).any():
        return
    _hold_stitches(laid, gauge_mm, around, target, hold)
    _hold_twists(laid, gauge_mm, around, target, hold)


def _hold_stitches(
    laid: LaidThreads, gauge: float, around: float, target: Points, hold: NDArray[np.float64]
) -> None:
    """Hold the crossings inside the stitches of lines."""
    plan = laid.plan
    node = np.flatnonzero((laid.stitch >= 0) & (plan.run >= 0)[laid.stitch])
    stitch = laid.stitch[node]
    # The crossings of one movement were recorded one after another.
    key = stitch * 64 + laid.move[node]
    first = np.concatenate([[True], key[1:] != key[:-1]])
    begin = np.maximum.accumulate(np.where(first, np.arange(len(node)), 0))
    rank = np.arange(len(node)) - begin
    pinned = plan.hole[stitch] >= 0
    offset = np.array([
        _offset(plan.moves[s], m, r, plan.breadth[s], gauge)
        for s, m, r in zip(stitch.tolist(), laid.move[node].tolist(), rank.tolist(), strict=True)
    ])  # fmt: skip
    # A pin between two movements keeps them apart.
    lift = np.where(laid.move[node] < plan.pin_after[stitch], -1, 1) * (CORNER * around)
    offset[:, 1] += np.where(pinned & (plan.pin_after[stitch] > 0), lift, 0)
    toward = plan.toward[stitch]
    target[node] = plan.at[stitch] + offset[:, :1] * _right(toward) + offset[:, 1:] * toward
    hold[node] = FIXED


def _offset(moves: str, move: int, rank: int, breadth: float, gauge: float) -> tuple[float, float]:
    """Return how far to the right and how far on a crossing lies from the middle of its stitch."""
    letter = moves[move]
    place, _ = MOVES[letter][rank]
    if letter in PAIR_MOVES:
        x, y = ((0.0, -1.0), (-1.0, 0.0), (1.0, 0.0), (0.0, 1.0))[rank]
        return PAIR_CROSSING * gauge * x, PAIR_CROSSING * gauge * y
    if letter in WEAVER_MOVES:
        return (place - 1) * breadth / 2, 0.0
    rows = len(moves.rstrip("T"))
    return (place - 1) * PLAIT_SIDE * gauge, (move - (rows - 1) / 2) * PLAIT_STEP * gauge


def _hold_twists(
    laid: LaidThreads, gauge: float, around: float, target: Points, hold: NDArray[np.float64]
) -> None:
    """Hold the twists of pairs on their way from one stitch of a line to the next."""
    plan = laid.plan
    source, goal = stitches_of_legs(plan)
    twist = np.flatnonzero(laid.twist)
    twist = twist[(plan.run[source] >= 0)[laid.leg[twist]] & (source[laid.leg[twist]] >= 0)]
    legs: dict[int, list[int]] = {}
    for node, leg in zip(twist.tolist(), laid.leg[twist].tolist(), strict=True):
        legs.setdefault(leg, []).append(node)
    for leg, nodes in legs.items():
        stitch, follower = int(source[leg]), int(goal[leg])
        toward = plan.toward[stitch]
        side = -1 if plan.given[stitch, 0] == leg else 1
        out = side * _right(toward)
        at = plan.at[stitch]
        in_line = follower >= 0 and plan.run[follower] == plan.run[stitch]
        step = (plan.at[follower] - at) if in_line else 2 * PLAIT_STEP * gauge * toward
        if plan.turn[leg] >= 0 and in_line:
            pin = plan.pricking.holes[plan.turn[leg]]
            spots = _round_picot(at, step, PLAIT_SIDE * gauge * out, pin, around + gauge / 2, nodes)
        else:
            beside = PLAIT_SIDE * gauge
            if plan.hole[stitch] >= 0:
                step, beside = np.zeros(2), max(beside, CORNER * around)
            further = np.arange(len(nodes))[:, None] * TWIST_STEP * gauge * toward
            spots = at + step / 2 + beside * out + further
        target[nodes] = spots
        hold[nodes] = FIXED


def _round_picot(
    at: Points, step: Points, side: Points, pin: Points, reach: float, nodes: list[int]
) -> Points:
    """Return where a pair is twisted on its way from a plait round a pin and back."""
    back = len(nodes) // 2
    away = len(nodes) - back
    leaves, returns = at + 0.25 * step + side, at + step + 1.2 * side
    run = step / max(float(np.hypot(*step)), 1e-9)
    share = (np.arange(away) / away)[:, None]
    going = leaves + share * (pin - reach * run - leaves)
    share = ((np.arange(back) + 1) / (back + 0.5))[:, None]
    coming = pin + reach * run + share * (returns - pin - reach * run)
    return np.concatenate([going, coming])


def _right(toward: Points) -> Points:
    """Return the directions to the maker's right of (..., 2) directions."""
    return np.stack([toward[..., 1], -toward[..., 0]], axis=-1)

"""What holds threads in place: pins, stitches and turns."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.settle.clasped import hold_clasps, room_of_turns
from render.settle.free_turns import hold_free_turns
from render.settle.gimps import hold_gimps
from render.settle.hung import hang_ends, hold_starts
from render.settle.legs import legs_thrown_out, stitches_of_legs, upright_at
from render.settle.tension import FIXED
from render.threads.network import Kind, LaidThreads

Points = NDArray[np.float64]

# How hard the pin in a stitch holds the crossings around it, by state.
PIN_HOLD = {"pillow": 8.0, "finished": 0.25}
# Threads that cross above a pin and pass on both sides of it leave it at about 45 degrees.
CORNER = 1.3
# How hard a worker's turn holds the outermost passive beside its pin, by state.
TURN_HOLD = {"pillow": 1.0, "finished": 0.25}
# How hard a pair thrown out on the way is held where it is cut, so that its twists lie apart.
CUT_HOLD = 0.3
# What one twist more adds to the loop of a pair round its pin, in gauges.
LOOP_TWIST = 1.3
# Row and column of the four crossings of a whole stitch, counted from above and from the maker's
# left, for a pair that works its way to the right and for one that works to the left.
WOVEN = {1: ((0, 0), (1, 0), (0, 1), (1, 1)), -1: ((0, 1), (0, 0), (1, 1), (1, 0))}


@dataclass(frozen=True, eq=False)
class Anchors:
    """Which nodes are held, where, and how hard.

    Attributes
    ----------
    target
        (N, 2) in mm.
    hold
        (N,) multiples of the pull of the threads; 0 free, FIXED immovable.
    """

    target: Points
    hold: NDArray[np.float64]


def find_anchors(laid: LaidThreads, gauge_mm: float, around: float, state: str) -> Anchors:
    """Return what holds each node.

    Parameters
    ----------
    laid
        Threads as the plan has them.
    gauge_mm, around
        Diameter of the threads, and distance from the middle of a pin to a thread round it.
    state
        ``pillow`` or ``finished``.
    """
    target = laid.at.copy()
    hold = np.zeros(len(target))
    nodes = _nodes_of_stitches(laid)
    _hold_stitches(laid, nodes, around, PIN_HOLD[state], target, hold)
    hold_starts(laid, gauge_mm, around, target)
    hang_ends(laid, target, target, gauge_mm, around)
    _hold_bends(laid, gauge_mm, around, target)
    hold_free_turns(laid, target, hold)
    hold_clasps(laid, target, hold, gauge_mm, around)
    hold[laid.kind != Kind.CROSSING] = FIXED
    hold_gimps(laid, state, hold)
    hold[(laid.kind == Kind.END) & legs_thrown_out(laid.plan)[laid.leg]] = CUT_HOLD
    return Anchors(target, hold)


def _nodes_of_stitches(laid: LaidThreads) -> dict[int, list[int]]:
    """Return the crossings inside each stitch, in working order."""
    nodes: dict[int, list[int]] = {}
    for node in np.flatnonzero(laid.stitch >= 0).tolist():
        nodes.setdefault(int(laid.stitch[node]), []).append(node)
    return nodes


def hold_turns(
    laid: LaidThreads,
    at: Points,
    target: Points,
    hold: NDArray[np.float64],
    gauge_mm: float,
    around: float,
    state: str,
) -> None:
    """Hold a pair that turns, and what it worked just before and just after, about its pin.

    In cloth that is the outermost passive, which the pin keeps inside the turn; at a footside it
    is the exchange with the edge pair, which the pin keeps outside.

    Parameters
    ----------
    laid
        The threads.
    at
        (N, 2) where nodes are, in mm: they tell which way the pair comes and goes.
    target, hold
        Anchors that are to be changed.
    gauge_mm, around
        Diameter of the threads, and distance from the middle of a pin to a thread round it.
    state
        ``pillow`` or ``finished``.
    """
    plan = laid.plan
    nodes = _nodes_of_stitches(laid)
    bends: dict[int, list[int]] = {}
    for node in np.flatnonzero(laid.kind == Kind.BEND).tolist():
        bends.setdefault(int(laid.leg[node]), []).append(node)
    source, goal = stitches_of_legs(plan)
    room = room_of_turns(laid)
    for leg, rings in bends.items():
        pin = plan.pricking.holes[plan.turn[leg]]
        upright = upright_at(plan, int(plan.turn[leg]))
        side = int(plan.turn_side[leg])
        before, after = nodes.get(int(source[leg]), []), nodes.get(int(goal[leg]), [])
        run = upright[1]
        if before and after:
            way = at[after].mean(axis=0) - at[before].mean(axis=0)
            if np.hypot(*way) > 1e-6:
                run = way / np.hypot(*way)
        # At a tip the pairs come from both sides: they turn about the working direction.
        at_tip = plan.hole[source[leg]] == plan.turn[leg]
        frame = upright if at_tip else np.stack([(run[1], -run[0]), run])
        target[rings] = pin + side * frame[:1] * (around + laid.ring[rings][:, None] * gauge_mm)
        for stitch, found, lift in ((source[leg], before, -1), (goal[leg], after, 1)):
            if at_tip and len(found) == 1:
                target[found] = pin + lift * CORNER * around * frame[1]
                hold[found] = TURN_HOLD[state]
            if at_tip and len(found) == 1 and lift < 0:
                (beside,) = set(plan.given[stitch].tolist()) - {leg}
                twists = np.flatnonzero((laid.leg == beside) & laid.twist)
                target[twists] = pin - side * CORNER * around * frame[0]
                hold[twists] = TURN_HOLD[state]
            if len(found) != 4:
                continue
            if plan.area[stitch] >= 0:
                # A picot is a loop outside the edge, as long as its twists take.
                loop = LOOP_TWIST * gauge_mm * max(0, int(plan.twists[leg]) // 2 - 1)
                beside = _beside_turn(side, lift, gauge_mm, around)
                beside[:, 0] -= side * (loop + room.get(leg, 0.0) * gauge_mm)
                target[found] = pin + beside @ frame
                hold[found] = TURN_HOLD[state]
            elif lift < 0 and plan.technique[stitch] == "footside":
                spots = gauge_mm * np.array([(0, -0.75), (-0.75, 0), (0.75, 0), (0, 0.75)])
                spots[:, 0] += side * (around + 1.3 * gauge_mm)
                target[found] = pin + spots @ upright
                # A finished piece is held by its footside, as when it is sewn on.
                hold[found] = PIN_HOLD["pillow"]
    hold_clasps(laid, target, hold, gauge_mm, around)


def _beside_turn(side: int, lift: int, gauge: float, around: float) -> Points:
    """Return (4, 2) places, across and down from the pin, for the passive beside a turn."""
    cells = np.array(WOVEN[side if lift < 0 else -side], float)
    row, column = cells.T
    inward = column if side < 0 else 1 - column
    away = 1 - row if lift < 0 else row
    x = -side * (0.9 * around + 1.1 * gauge * inward)
    y = lift * (around + 1.1 * gauge * away)
    return np.stack([x, y], axis=1)


def _hold_stitches(
    laid: LaidThreads,
    nodes: dict[int, list[int]],
    around: float,
    strength: float,
    target: Points,
    hold: NDArray[np.float64],
) -> None:
    """Set the crossings above, below and beside a pin around it."""
    plan = laid.plan
    twist = np.flatnonzero(laid.twist)[::-1]
    first_twist = dict(zip(laid.leg[twist].tolist(), twist.tolist(), strict=True))
    for stitch in np.flatnonzero(plan.hole >= 0).tolist():
        moves, pin = plan.moves[stitch], int(plan.pin_after[stitch])
        spot = plan.pricking.holes[plan.hole[stitch]]
        across, down = upright_at(plan, int(plan.hole[stitch]))
        above = moves.rfind("C", 0, pin)
        below = moves.find("C", pin)
        sides: list[list[int]] = [[], []]
        for node in nodes.get(stitch, []):
            move = int(laid.move[node])
            if move == above:
                target[node] = spot - CORNER * around * down
                hold[node] = strength
            elif move == below:
                target[node] = spot + CORNER * around * down
                hold[node] = strength
            elif above < move < below:
                # Of the two crossings of a twist the left one was recorded first.
                sides[len(sides[0]) > len(sides[1])].append(node)
        if below < 0 and plan.area[stitch] < 0:
            # An open pin stands between the two pairs that leave.
            sides = [
                [first_twist[g]] if g in first_twist else [] for g in plan.given[stitch].tolist()
            ]
        for side, row in zip((-1, 1), sides, strict=True):
            for k, node in enumerate(row):
                lift = (k - (len(row) - 1) / 2) * around
                target[node] = spot + side * CORNER * around * across + lift * down
                hold[node] = strength


def _hold_bends(laid: LaidThreads, gauge: float, around: float, target: Points) -> None:
    """Put bends beside their pins, away from the rows of the area."""
    plan = laid.plan
    bend = np.flatnonzero(laid.kind == Kind.BEND)
    leg = laid.leg[bend]
    source, goal = stitches_of_legs(plan)
    pin = plan.pricking.holes[plan.turn[leg]]
    down = plan.down[plan.turn[leg]]
    across = np.stack([down[:, 1], -down[:, 0]], axis=1)
    out = plan.turn_side[leg].astype(float)[:, None] * across
    if len(plan.moves):
        rows = (plan.at[source[leg]] + plan.at[goal[leg]]) / 2
        cloth = (source[leg] >= 0) & (goal[leg] >= 0) & (plan.area[source[leg]] >= 0)
        away = pin - rows
        size = np.hypot(*away.T)
        cloth &= size > 1e-6
        out = np.where(cloth[:, None], away / np.maximum(size, 1e-6)[:, None], out)
    target[bend] = pin + (around + laid.ring[bend] * gauge)[:, None] * out

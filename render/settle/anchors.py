"""What holds threads in place: pins, the first hangings and the ends."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.plan.model import WorkingPlan
from render.settle.tension import FIXED
from render.threads.network import Kind, LaidThreads

Points = NDArray[np.float64]

# How hard the pin in a stitch holds the crossings around it, by state.
PIN_HOLD = {"pillow": 3.0, "finished": 0.25}
# Threads that cross above a pin and pass on both sides of it leave it at about 45 degrees.
CORNER = 1.3
# How hard a worker's turn holds the outermost passive beside its pin, by state.
TURN_HOLD = {"pillow": 1.0, "finished": 0.25}
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


def find_anchors(laid: LaidThreads, gauge_mm: float, pin_mm: float, state: str) -> Anchors:
    """Return what holds each node.

    Parameters
    ----------
    laid
        Threads as the plan has them.
    gauge_mm, pin_mm
        Diameters of thread and pin.
    state
        ``pillow`` or ``finished``.
    """
    target = laid.at.copy()
    hold = np.zeros(len(target))
    around = (pin_mm + gauge_mm) / 2
    nodes = _nodes_of_stitches(laid)
    _hold_stitches(laid, nodes, around, PIN_HOLD[state], target, hold)
    _hold_turns(laid, nodes, gauge_mm, around, state, target, hold)
    _hold_starts(laid, gauge_mm, around, target)
    _hold_ends(laid, gauge_mm, target)
    _hold_bends(laid, gauge_mm, around, target)
    hold[laid.kind != Kind.CROSSING] = FIXED
    thrown = np.zeros(len(laid.plan.twists), bool)
    thrown[[t.leg for t in laid.plan.throwings if not t.end]] = True
    hold[(laid.kind == Kind.END) & thrown[laid.leg]] = 0
    return Anchors(target, hold)


def _nodes_of_stitches(laid: LaidThreads) -> dict[int, list[int]]:
    """Return the crossings inside each stitch, in working order."""
    nodes: dict[int, list[int]] = {}
    for node in np.flatnonzero(laid.stitch >= 0).tolist():
        nodes.setdefault(int(laid.stitch[node]), []).append(node)
    return nodes


def _hold_turns(
    laid: LaidThreads,
    nodes: dict[int, list[int]],
    gauge: float,
    around: float,
    state: str,
    target: Points,
    hold: NDArray[np.float64],
) -> None:
    """Hold what a pair worked just before and just after it turns round a pin.

    In cloth that is the outermost passive, which the pin keeps inside the turn; at a footside it
    is the exchange with the edge pair, which the pin keeps outside.
    """
    plan = laid.plan
    source, goal = stitches_of_legs(plan)
    for leg in np.flatnonzero(plan.turn >= 0).tolist():
        pin = plan.pricking.holes[plan.turn[leg]]
        side = int(plan.turn_side[leg])
        for stitch, lift in ((int(source[leg]), -1), (int(goal[leg]), 1)):
            found = nodes.get(stitch, [])
            if len(found) != 4:
                continue
            if plan.area[stitch] >= 0:
                spots = _beside_turn(side, lift, gauge, around)
                strength = TURN_HOLD[state]
            elif lift < 0:
                beyond = side * (around + 1.3 * gauge)
                spots = gauge * np.array([(0, -0.75), (-0.75, 0), (0.75, 0), (0, 0.75)])
                spots[:, 0] += beyond
                strength = PIN_HOLD[state]
            else:
                continue
            target[found] = (
                pin + spots[:, :1] * plan.pricking.across + spots[:, 1:] * plan.pricking.down
            )
            hold[found] = strength


def _beside_turn(side: int, lift: int, gauge: float, around: float) -> Points:
    """Return (4, 2) places, across and down from the pin, for the passive before or after a turn."""
    cells = np.array(WOVEN[side if lift < 0 else -side], float)
    row, column = cells.T
    inward = column if side < 0 else 1 - column
    away = 1 - row if lift < 0 else row
    x = -side * (0.9 * around + 1.1 * gauge * inward)
    y = lift * (around + 1.1 * gauge * away)
    return np.stack([x, y], axis=1)


def stitches_of_legs(plan: WorkingPlan) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return for each leg the stitch it comes from and the one it goes to, -1 for none."""
    source = np.full(len(plan.twists), -1)
    goal = np.full(len(plan.twists), -1)
    count = np.arange(len(plan.moves))
    source[plan.given.ravel()] = np.repeat(count, 2)
    goal[plan.taken.ravel()] = np.repeat(count, 2)
    return source, goal


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
    down, across = plan.pricking.down, plan.pricking.across
    for stitch in np.flatnonzero(plan.hole >= 0).tolist():
        moves, pin = plan.moves[stitch], int(plan.pin_after[stitch])
        spot = plan.pricking.holes[plan.hole[stitch]]
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
        for side, row in zip((-1, 1), sides, strict=True):
            for k, node in enumerate(row):
                lift = (k - (len(row) - 1) / 2) * around
                target[node] = spot + side * CORNER * around * across + lift * down
                hold[node] = strength


def _hold_starts(laid: LaidThreads, gauge: float, around: float, target: Points) -> None:
    """Hang pairs side by side where several begin at one spot."""
    plan = laid.plan
    down, across = plan.pricking.down, plan.pricking.across
    node_of = {int(laid.leg[n]): n for n in np.flatnonzero(laid.kind == Kind.START).tolist()}
    groups: dict[tuple[float, float], list[int]] = {}
    for number, hanging in enumerate(plan.hangings):
        x, y = hanging.at
        row = groups.setdefault((round(x, 3), round(y, 3)), [])
        legs = [plan.hangings[k].leg for k in row]
        place = legs.index(hanging.beside) + 1 if hanging.beside in legs else 0
        row.insert(place, number)
    for row in groups.values():
        for k, number in enumerate(row):
            hanging = plan.hangings[number]
            aside = (k - (len(row) - 1) / 2) * 2.2 * gauge
            up = around if hanging.hole >= 0 else 0.0
            target[node_of[hanging.leg]] = np.array(hanging.at) + aside * across - up * down


def _hold_ends(laid: LaidThreads, gauge: float, target: Points) -> None:
    """Let threads end side by side, pairs in the order in which they hang."""
    ends: dict[int, list[int]] = {}
    for node in np.flatnonzero(laid.kind == Kind.END).tolist():
        ends.setdefault(int(laid.leg[node]), []).append(node)
    last = [t for t in laid.plan.throwings if t.end]
    across = laid.plan.pricking.across
    place = np.array([target[ends[t.leg][0]] @ across for t in last])
    spread = _in_order(place, 2.4 * gauge)
    for throwing, old, new in zip(last, place, spread, strict=True):
        for node, half in zip(ends[throwing.leg], (-0.55, 0.55), strict=True):
            target[node] = target[node] + (new - old + half * gauge) * across


def _in_order(place: NDArray[np.float64], gap: float) -> NDArray[np.float64]:
    """Move places as little as may be so that each lies a gap beyond the one before.

    References
    ----------
    .. M. Ayer et al., "An empirical distribution function for sampling with incomplete
       information", Annals of Mathematical Statistics 26 (1955) 641-647: pooling neighbours
    """
    blocks: list[tuple[float, int]] = []
    for k, x in enumerate(place.tolist()):
        total, count = x - k * gap, 1
        while blocks and blocks[-1][0] / blocks[-1][1] >= total / count:
            other, more = blocks.pop()
            total, count = total + other, count + more
        blocks.append((total, count))
    level = np.array([total / count for total, count in blocks for _ in range(count)])
    return level + gap * np.arange(len(place))


def _hold_bends(laid: LaidThreads, gauge: float, around: float, target: Points) -> None:
    bend = np.flatnonzero(laid.kind == Kind.BEND)
    leg = laid.leg[bend]
    side = laid.plan.turn_side[leg].astype(float)
    out = side[:, None] * laid.plan.pricking.across
    target[bend] = (
        laid.plan.pricking.holes[laid.plan.turn[leg]]
        + (around + laid.ring[bend] * gauge)[:, None] * out
    )

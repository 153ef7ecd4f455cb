"""What holds threads in place: pins, the first hangings and the ends."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.settle.tension import FIXED
from render.threads.network import Kind, LaidThreads

Points = NDArray[np.float64]

# How hard the pin in a stitch holds the crossings around it, by state.
PIN_HOLD = {"pillow": 3.0, "finished": 0.25}
# Threads that cross above a pin and pass on both sides of it leave it at about 45 degrees.
CORNER = 1.3


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
    _hold_stitches(laid, around, PIN_HOLD[state], target, hold)
    _hold_starts(laid, gauge_mm, around, target)
    _hold_ends(laid, gauge_mm, target)
    _hold_bends(laid, gauge_mm, around, target)
    hold[laid.kind != Kind.CROSSING] = FIXED
    return Anchors(target, hold)


def _hold_stitches(
    laid: LaidThreads, around: float, strength: float, target: Points, hold: NDArray[np.float64]
) -> None:
    """Set the crossings above, below and beside a pin around it."""
    plan = laid.plan
    down, across = plan.pricking.down, plan.pricking.across
    nodes: dict[int, list[int]] = {}
    for node in np.flatnonzero(laid.stitch >= 0).tolist():
        nodes.setdefault(int(laid.stitch[node]), []).append(node)
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
    """Let threads end side by side, pairs in the order in which they were let go."""
    ends: dict[int, list[int]] = {}
    for node in np.flatnonzero(laid.kind == Kind.END).tolist():
        ends.setdefault(int(laid.leg[node]), []).append(node)
    groups: dict[tuple[float, float], list[int]] = {}
    for number, throwing in enumerate(laid.plan.throwings):
        x, y = target[ends[throwing.leg][0]]
        groups.setdefault((round(float(x), 3), round(float(y), 3)), []).append(number)
    for row in groups.values():
        for k, number in enumerate(row):
            throwing = laid.plan.throwings[number]
            toward = np.array(throwing.toward)
            right = np.array([toward[1], -toward[0]])
            aside = (k - (len(row) - 1) / 2) * 2.4 * gauge
            for node, half in zip(ends[throwing.leg], (-0.55, 0.55), strict=True):
                target[node] = target[node] + (aside + half * gauge) * right


def _hold_bends(laid: LaidThreads, gauge: float, around: float, target: Points) -> None:
    bend = np.flatnonzero(laid.kind == Kind.BEND)
    leg = laid.leg[bend]
    side = laid.plan.turn_side[leg].astype(float)
    out = side[:, None] * laid.plan.pricking.across
    target[bend] = (
        laid.plan.pricking.holes[laid.plan.turn[leg]]
        + (around + laid.ring[bend] * gauge)[:, None] * out
    )

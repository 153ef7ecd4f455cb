"""Let go, step by step, of what holds threads that are tangled."""

import numpy as np
from numpy.typing import NDArray

from render.settle.legs import stitches_of_legs
from render.settle.net import Net
from render.settle.tension import FIXED
from render.threads.network import Kind, LaidThreads

# How often tangled threads are loosened and pulled taut again.
LOOSENINGS = 14
# How many nodes on a thread tell which way it runs.
FOLLOWED = 5
# Least factor on the bulges of twisted pairs.
NARROWEST = 0.2


def loosened(net: Net) -> Net:
    """Return a net with less tangled, by holding it less hard where it is.

    Crossings are let go first, then pins and pairs that begin or end in areas or on the way; where
    ground begins and ends stays.
    """
    net = net.copy()
    for turn in range(LOOSENINGS):
        _let_go(net, turn)
        net.at = net.rested(net.hold, 2)
        net.shape, net.wrong = net.trimmed(net.at)
        if not len(net.wrong):
            break
    return net


def _let_go(net: Net, turn: int) -> None:
    laid = net.laid
    near = net.around_nodes(net.wrong, int(turn > 3))
    free = laid.kind == Kind.CROSSING
    if turn > 2:
        free |= (laid.kind == Kind.BEND) | _yielding(laid)
        net.breadth[near] = np.maximum(0.6 * net.breadth[near], NARROWEST)
    near &= free
    outer = near & _yielding(laid)
    if outer.any():
        _hang_anew(net, outer)
        near &= ~outer
    net.off_pin |= near & (laid.kind == Kind.BEND)
    net.hold[near] = np.where(net.hold[near] >= FIXED, 3.0, 0.4 * net.hold[near])


def _hang_anew(net: Net, outer: NDArray[np.bool_]) -> None:
    """Let starts and ends follow the work: just outside it, along their own threads."""
    laid = net.laid
    moved = np.zeros_like(net.at)
    count = np.zeros(len(net.at))
    for visit, step in ((laid.starts[:-1], 1), (laid.starts[1:] - 1, -1)):
        node = laid.visits[visit]
        inner = laid.visits[np.clip(visit + step * FOLLOWED, laid.starts[:-1], laid.starts[1:] - 1)]
        next_to = laid.visits[visit + step]
        way = net.at[next_to] - net.at[inner]
        way /= np.maximum(np.hypot(*way.T), 1e-9)[:, None]
        np.add.at(moved, node, net.at[next_to] + 2 * net.gauge * way)
        np.add.at(count, node, 1)
    net.target[outer] = moved[outer] / count[outer, None]
    net.hold[outer] = 1.0


def _yielding(laid: LaidThreads) -> NDArray[np.bool_]:
    """Mark starts and ends of pairs hung in or thrown out in areas or on the way."""
    plan = laid.plan
    firm = np.zeros(len(plan.twists), bool)
    firm[[h.leg for h in plan.hangings if h.start and h.area < 0]] = True
    source, _ = stitches_of_legs(plan)
    ground = (source < 0) | (plan.area[source] < 0)
    firm[[t.leg for t in plan.throwings if t.end and ground[t.leg]]] = True
    outer = (laid.kind == Kind.START) | (laid.kind == Kind.END)
    return np.asarray(outer & ~firm[laid.leg])

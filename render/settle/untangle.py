"""Bring threads to rest without a crossing that the plan does not have."""

import numpy as np
from numpy.typing import NDArray

from render.settle.anchors import hold_turns
from render.settle.contact import bars_of, part
from render.settle.flatten import untangle
from render.settle.hung import hang_ends
from render.settle.loosen import loosened
from render.settle.net import Net
from render.settle.outline import Outline
from render.settle.tension import FIXED
from render.threads.network import Kind, LaidThreads

Points = NDArray[np.float64]

ROUNDS = 5
# Tangles are undone within so many pieces of thread around them, while all else stays.
RINGS = 24
# Loosening is kept where no more than this share of what was tangled still is.
WORTH_KEEPING = 0.25


def pull_taut(net: Net) -> Net:
    """Return a net whose pulls balance, where threads tangle only as far as they do not."""
    # At first the ends follow the work, so that threads can then hang straight down.
    net.at = net.rested(np.where(net.laid.kind == Kind.END, 0, net.hold), ROUNDS)
    hold_turns(net.laid, net.at, net.target, net.hold, net.gauge, net.around, net.state)
    hang_ends(net.laid, net.at, net.target, net.gauge, net.around)
    net.at = net.rested(net.hold, ROUNDS)
    net.shape, net.wrong = net.trimmed(net.at)
    if len(net.wrong):
        net.look_at(net.around_nodes(net.wrong, RINGS))
        looser = loosened(net)
        if len(looser.wrong) <= WORTH_KEEPING * len(net.wrong):
            net = looser
    if len(net.wrong):
        untangle(net)
    net.look_at(None)
    return net


def make_room(net: Net) -> Outline:
    """Give threads their thickness, and take it back where that would tangle them."""
    fixed = (net.hold >= FIXED) | (net.laid.kind == Kind.END)
    pins = _standing_pins(net.laid) if net.state == "pillow" else np.zeros((0, 2))
    bars = bars_of(net.pieces, net.gauge, net.thick)
    apart = part(net.at, bars, fixed, net.gauge, pins=pins, around=net.around)
    net.move_to(apart)
    return net.shape


def _standing_pins(laid: LaidThreads) -> Points:
    """Return (H, 2) the pins that are used."""
    plan = laid.plan
    used = {*plan.hole.tolist(), *plan.turn.tolist(), *(h.hole for h in plan.hangings)} - {-1}
    return np.asarray(plan.pricking.holes[sorted(used)])

"""Draw what is tangled anew without a wrong crossing, and pull it taut from there."""

import numpy as np

from render.settle.faces import find_faces
from render.settle.flat import draw_flat
from render.settle.net import STUB, Net
from render.settle.tension import FIXED

# How often more of the net is drawn flat, before all of it is, and made narrower each time; how
# often it is then pulled taut, and how often what was narrowed is given back its width.
FLATTENINGS = 8
NARROWINGS = 3
PULLS = 8
WIDENINGS = 5
# A node this many gauges from where it would be is let go of, step by step.
STUCK = 0.5
# Pulling ends when nothing moves by so many gauges any more.
SETTLED = 0.02
# Factor on the bulges of twisted pairs in what was drawn flat.
NARROW = 0.2


def untangle(net: Net) -> None:
    """Lay a net flat where it is tangled, and let pulls balance as far as nothing tangles."""
    _lay_flat(net)
    for _ in range(PULLS):
        goal = net.rested(net.hold, 1)
        before = net.at
        net.move_to(goal)
        if np.abs(net.at - before).max() < SETTLED * net.gauge:
            break
        stuck = np.hypot(*(goal - net.at).T) > STUCK * net.gauge
        net.hold[stuck] = np.where(net.hold[stuck] >= FIXED, 3.0, 0.4 * net.hold[stuck])
    _widen(net)


def _lay_flat(net: Net) -> None:
    """Draw what is tangled anew, with as much around it as it takes."""
    plan = net.laid.plan
    net.faces = find_faces(net.laid, net.pieces)
    turn = np.stack([plan.pricking.across, plan.pricking.down])
    for steps in range(1, FLATTENINGS + 1):
        last = steps == FLATTENINGS
        free = net.around_nodes(net.wrong, steps) & net.moving
        if steps >= FLATTENINGS - 1:
            net.look_at(None)
            free[:] = True
        net.flat |= free
        net.breadth[free] = NARROW
        net.off_pin |= free
        stub = STUB * net.gauge
        net.at = draw_flat(net.at, net.faces, turn, free, stub, even=last)
        for _ in range(NARROWINGS):
            net.shape, net.wrong = net.trimmed(net.at)
            if not len(net.wrong):
                return
            net.breadth[net.wrong] *= 0.3


def _widen(net: Net) -> None:
    """Give threads back what they were narrowed by, wherever they do not tangle then."""
    narrow, breadth = np.zeros(len(net.at), bool), net.breadth
    for turn in range(WIDENINGS):
        kept = narrow if turn < WIDENINGS - 1 else net.flat
        net.breadth = np.where(kept, breadth, 1.0)
        net.off_pin = kept | net.tied
        shape, found = net.trimmed(net.at)
        if not len(np.setdiff1d(found, net.wrong)):
            net.shape = shape
            return
        narrow |= net.around_nodes(found, 1 + turn // 2)

"""Draw what is tangled anew without a wrong crossing, and pull it taut from there."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.geometry.maps import pieces
from render.settle.faces import Faces, find_faces
from render.settle.flat import draw_flat
from render.settle.net import STUB, Net, Points
from render.settle.tension import FIXED

# Tangles closer than this are undone together, with so much room around them at first and so many
# times more where that does not do, up to so much: then all is drawn anew. In spacings of holes.
APART = 0.6
FIRST_ROOM, MORE_ROOM, MOST_ROOM = 0.15, 1.6, 8.0
# How often what was drawn is made narrower; how often it is then pulled taut, and how often what
# was narrowed is given back its width.
NARROWINGS = 8
# How often what is still tangled then is drawn anew, as long as it is no more than so many times
# the least found. Where this share of a piece would be drawn anew, all of it is.
REPAIRS, WORSE = 5, 1.5
MOST_SHARE = 0.6
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
    flat = net.copy()
    _pull(net)
    net.seen = np.ones(len(net.at), bool)
    if len(np.setdiff1d(net.trimmed(net.at)[1], net.wrong)):
        # A long piece of thread has met what lies far from where it was looked for.
        net.start_again(flat)
        net.seen = np.ones(len(net.at), bool)
        _pull(net)
    _widen(net)


def _pull(net: Net) -> None:
    """Let pulls balance, as far as nothing seen tangles."""
    for _ in range(PULLS):
        goal = net.rested(net.hold, 1)
        before = net.at
        net.move_to(goal)
        if np.abs(net.at - before).max() < SETTLED * net.gauge:
            break
        stuck = np.hypot(*(goal - net.at).T) > STUCK * net.gauge
        net.hold[stuck] = np.where(net.hold[stuck] >= FIXED, 3.0, 0.4 * net.hold[stuck])


def _lay_flat(net: Net) -> None:
    """Draw anew what is tangled, with as much around each tangle as it takes."""
    plan = net.laid.plan
    net.faces = faces = find_faces(net.laid, net.pieces, net.at)
    turn = np.stack([plan.pricking.across, plan.pricking.down])
    before = net.copy()
    trees = [cKDTree(before.at[nodes]) for nodes in _clusters(before)]
    apart = np.stack([np.asarray(tree.query(before.at)[0]) for tree in trees])
    apart /= float(np.median(plan.pricking.spacing))
    room = np.full(len(trees), FIRST_ROOM)
    zone = _within(apart, room)
    while room.max() <= MOST_ROOM and zone.mean() < MOST_SHARE:
        _draw(net, faces, zone, turn)
        first = net.wrong
        _repair(net, faces, turn)
        if not len(net.wrong):
            return
        growing = np.unique((apart[:, first] - room[:, None]).argmin(axis=0))
        room[growing] *= MORE_ROOM
        zone = _within(apart, room)
        net.start_again(before)
    net.faces = faces = find_faces(net.laid, net.pieces)
    _draw(net, faces, np.ones(len(net.at), bool), turn, even=True)


def _within(apart: NDArray[np.float64], room: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Mark the nodes no further from some tangle, by (C, N) distances, than the room it has."""
    return np.asarray((apart <= room[:, None]).any(axis=0))


def _repair(net: Net, faces: Faces, turn: Points) -> None:
    """Draw anew, in what was just drawn, what is still tangled, as long as that gets less."""
    least = len(net.wrong)
    for steps in range(1, REPAIRS + 1):
        if not len(net.wrong) or len(net.wrong) > WORSE * least:
            return
        least = min(least, len(net.wrong))
        _draw(net, faces, net.around_nodes(net.wrong, steps), turn)


def _draw(
    net: Net, faces: Faces, zone: NDArray[np.bool_], turn: Points, *, even: bool = False
) -> None:
    """Draw a zone flat, with twisted pairs as narrow as it takes."""
    net.flat |= zone
    net.off_pin |= zone
    net.breadth[zone] = NARROW
    net.at = draw_flat(net.at, faces, turn, zone, STUB * net.gauge, even=even)
    net.look_at(None if even else net.flat)
    for _ in range(NARROWINGS):
        net.shape, net.wrong = net.trimmed(net.at)
        if not len(net.wrong):
            return
        net.breadth[net.wrong] *= 0.3


def _clusters(net: Net) -> list[NDArray[np.int64]]:
    """Group what is tangled by where it lies."""
    near = APART * float(np.median(net.laid.plan.pricking.spacing))
    pairs = cKDTree(net.at[net.wrong]).query_pairs(near, output_type="ndarray")
    group = pieces(pairs[:, 0], pairs[:, 1], len(net.wrong))
    return [net.wrong[group == k] for k in range(int(group.max()) + 1)]


def _widen(net: Net) -> None:
    """Give threads back what they were narrowed by, wherever they do not tangle then."""
    net.look_at(None)
    kept, breadth, off_pin = np.zeros(len(net.at), bool), net.breadth, net.off_pin
    for turn in range(WIDENINGS):
        net.breadth = np.where(kept, breadth, 1.0)
        net.off_pin = (kept & off_pin) | net.tied
        shape, found = net.trimmed(net.at)
        wrong = np.setdiff1d(found, net.wrong)
        if not len(wrong):
            net.shape = shape
            return
        kept |= net.around_nodes(wrong, 1 + turn // 2)
    net.breadth, net.off_pin = breadth, off_pin

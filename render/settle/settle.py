"""Settle laid threads: from a plan's crossings to curves."""

import numpy as np
from numpy.typing import NDArray

from render.errors import SettingError
from render.settle.anchors import find_anchors
from render.settle.curve import Curves, heights, round_off, split_where_close
from render.settle.gimps import lie_round_gimps
from render.settle.lines import hold_lines
from render.settle.net import Net
from render.settle.outline import Outline
from render.settle.phantoms import find_meetings
from render.settle.pulls import find_pieces
from render.settle.thickness import Thickness, find_thickness, gauges_of
from render.settle.untangle import make_room, pull_taut
from render.threads.model import Crossings, ThreadPaths
from render.threads.network import Kind, LaidThreads

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

STATES = ("pillow", "finished")
# How much room a thread takes in its stitches, in its own thickness: pulled up hard, threads press
# into each other; left slack, air stays between them and loops stand off their pins (our own
# choice, by eye).
USUAL = "usual"
TENSIONS = {"firm": 0.7, USUAL: 1.0, "slack": 1.5}
# How often corners are rounded less where threads would cross; then they stay sharp.
EASINGS, SHARPENINGS = 6, 4
# How wide a pin hole stays in finished lace, as a share of the pin.
LEFT_BY_PIN = 0.5


def settle(
    laid: LaidThreads,
    *,
    gauge_mm: float,
    state: str = "pillow",
    tension: str = USUAL,
    pin_mm: float = 0.5,
) -> ThreadPaths:
    """Turn laid threads into the curves they take under tension; see `settle_visits`."""
    return settle_visits(laid, gauge_mm=gauge_mm, state=state, tension=tension, pin_mm=pin_mm)[0]


def settle_visits(
    laid: LaidThreads,
    *,
    gauge_mm: float,
    state: str = "pillow",
    tension: str = USUAL,
    pin_mm: float = 0.5,
) -> tuple[ThreadPaths, Indices]:
    """Turn laid threads into curves, and say which visit each of their (P,) points belongs to.

    Parameters
    ----------
    laid
        Who crosses whom.
    gauge_mm
        Diameter of the threads.
    state
        ``pillow``: pins hold; ``finished``: pins are out.
    tension
        How hard stitches are pulled up: a word of TENSIONS.
    pin_mm
        Diameter of the pins.

    Raises
    ------
    SettingError
        For a gauge that is not above zero, or an unknown state or tension.
    """
    if not gauge_mm > 0 or not pin_mm > 0:
        raise SettingError(f"a gauge of {gauge_mm:g} mm and pins of {pin_mm:g} mm make no lace")
    if state not in STATES:
        raise SettingError(f"{state!r} is no state of lace: expected one of {', '.join(STATES)}")
    if tension not in TENSIONS:
        raise SettingError(f"{tension!r} is no tension: expected one of {', '.join(TENSIONS)}")
    # What a thread takes for itself; it still looks as thick as it is.
    room = gauge_mm * TENSIONS[tension]
    # Loops close somewhat when their pins are drawn.
    around = (pin_mm * (1.0 if state == "pillow" else LEFT_BY_PIN) + room) / 2
    anchors = find_anchors(laid, room, around, state)
    hold_lines(laid, room, around, anchors.target, anchors.hold)
    thick = find_thickness(laid, gauge_mm, TENSIONS[tension])
    net = Net(laid, find_pieces(laid), thick, room, around, state, anchors.hold, anchors.target)
    shape = make_room(pull_taut(net))
    curves, crossings, knots, tangles = _draw(laid, shape, room, thick)
    z = lie_round_gimps(laid, curves, knots, heights(laid, curves, knots, gauge_mm), gauge_mm)
    paths = ThreadPaths(
        points=np.column_stack([curves.points, z]),
        starts=curves.starts,
        radius=gauges_of(laid, gauge_mm) / 2,
        pair=laid.pair.copy(),
        role=laid.role.copy(),
        region=laid.area.copy(),
        crossings=crossings,
        tangles=tangles,
    )
    return paths, curves.visit


def _draw(
    laid: LaidThreads, shape: Outline, gauge: float, thick: Thickness
) -> tuple[Curves, Crossings, NDArray[np.float64], Points]:
    """Round the polygons off, less where that would make threads cross that do not.

    Returns the curves, their crossings, (V,) the point at which each visit is passed, counted with
    its fraction, and the places where they still cross wrongly.
    """
    ease = np.ones(len(laid.visits))
    for turn in range(EASINGS + SHARPENINGS):
        curves = round_off(shape, gauge, ease, gauge + thick.more)
        found = find_meetings(curves.points, curves.starts)
        visit = curves.visit[np.stack([found.first, found.second])]
        wrong, node = _match(laid, visit)
        if not len(wrong):
            break
        less = 0.5 if turn < EASINGS else 0.05
        ease[wrong] *= less
        ease[np.minimum(wrong + 1, len(ease) - 1)] *= less
    # A crossing that the curves lack is where its threads were to meet.
    at = np.zeros((len(laid.kind), 2))
    at[laid.visits[curves.visit]] = curves.points
    known = node >= 0
    at[node[known]] = found.at[known]
    knots = curves.middle.astype(float)
    pieces = np.stack([found.first, found.second])
    for k in (0, 1):
        passing = np.where(laid.visits[visit[k]] == node, visit[k], visit[k] + 1)[known]
        knots[passing] = (pieces[k] + found.share[:, k])[known]
    crossing = np.flatnonzero(laid.kind == Kind.CROSSING)
    tangles = np.unique(np.round(at[laid.visits[wrong]], 1), axis=0)
    curves, knots = split_where_close(curves, knots, gauge)
    crossings = Crossings(laid.over[crossing], laid.under[crossing], at[crossing])
    return curves, crossings, knots, tangles


def _match(laid: LaidThreads, visit: Indices) -> tuple[Indices, Indices]:
    """Give each meeting of two curves its node; return the visits of those that are wrong."""
    last = len(laid.visits) - 1
    node = np.full(visit.shape[1], -1)
    # A meeting lies in the corner of its node, or on the way to it from the one before.
    for a in (0, 1):
        for b in (0, 1):
            first = laid.visits[np.minimum(visit[0] + a, last)]
            second = laid.visits[np.minimum(visit[1] + b, last)]
            node = np.where((node < 0) & (first == second), first, node)
    # No thread has a crossing with itself.
    node[laid.thread[visit[0]] == laid.thread[visit[1]]] = -1
    times = np.bincount(node[node >= 0], minlength=len(laid.kind))
    bad = (node < 0) | (times[np.maximum(node, 0)] != 1)
    missing = np.flatnonzero((laid.kind == Kind.CROSSING) & (times == 0))
    visits = np.concatenate([visit[:, bad].ravel(), np.flatnonzero(np.isin(laid.visits, missing))])
    return np.unique(visits), node

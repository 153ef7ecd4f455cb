"""Settle laid threads: from a plan's crossings to curves."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.errors import SettingError
from render.settle.anchors import Anchors, find_anchors, hang_ends, hold_turns
from render.settle.contact import bars_of, part
from render.settle.curve import Curves, heights, round_off
from render.settle.outline import Outline, outline
from render.settle.phantoms import find_meetings
from render.settle.pulls import Pieces, find_pieces
from render.settle.tension import FIXED, rest
from render.threads.model import Crossings, ThreadPaths
from render.threads.network import Kind, LaidThreads

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

STATES = ("pillow", "finished")
ROUNDS = 5
UNTANGLINGS = 14
BACKINGS = 8
# What is left of a thread thrown out on the way, in gauges.
STUB = 0.8
VERBOSE = False


def settle(
    laid: LaidThreads, *, gauge_mm: float, state: str = "pillow", pin_mm: float = 0.5
) -> ThreadPaths:
    """Turn laid threads into the curves they take under tension.

    Parameters
    ----------
    laid
        Who crosses whom.
    gauge_mm
        Diameter of the threads.
    state
        ``pillow``: pins hold; ``finished``: pins are out.
    pin_mm
        Diameter of the pins.

    Raises
    ------
    SettingError
        For a gauge that is not above zero, or an unknown state.
    """
    if not gauge_mm > 0 or not pin_mm > 0:
        raise SettingError(f"a gauge of {gauge_mm:g} mm and pins of {pin_mm:g} mm make no lace")
    if state not in STATES:
        raise SettingError(f"{state!r} is no state of lace: expected one of {', '.join(STATES)}")
    pieces = find_pieces(laid)
    around = (pin_mm + gauge_mm) / 2
    anchors = find_anchors(laid, gauge_mm, pin_mm, state)
    pins = _standing_pins(laid) if state == "pillow" else np.zeros((0, 2))
    shape = rest_threads(laid, pieces, anchors, gauge_mm, around, pins, state)
    curves, crossings = _draw(laid, shape, gauge_mm)
    z = heights(laid, curves, gauge_mm)
    return ThreadPaths(
        points=np.column_stack([curves.points, z]),
        starts=curves.starts,
        radius=np.full(len(laid.pair), gauge_mm / 2),
        pair=laid.pair.copy(),
        role=laid.role.copy(),
        region=laid.area.copy(),
        crossings=crossings,
    )


def rest_threads(
    laid: LaidThreads,
    pieces: Pieces,
    anchors: Anchors,
    gauge: float,
    around: float,
    pins: Points,
    state: str,
) -> Outline:
    """Return the polygons in which the threads come to rest."""
    hold, target = anchors.hold.copy(), anchors.target.copy()
    at = target
    for turn in range(UNTANGLINGS):
        # At first the ends follow the work, so that threads can then hang straight down.
        held = np.where((laid.kind == Kind.END) & (turn == 0), 0, hold)
        at = rest(
            at, pieces.nodes, pieces.pull, held, target,
            group=pieces.group, shortest=0.5 * gauge, rounds=ROUNDS if turn < 2 else 2,
        )  # fmt: skip
        if turn == 0:
            hold_turns(laid, at, target, hold, gauge, around, state)
            hang_ends(laid, at, target, gauge)
            continue
        loose = hold < FIXED
        _place_stubs(laid, at, gauge)
        shape = outline(laid, pieces, at, gauge, around, loose)
        wrong = tangled(laid, shape, at)
        if not len(wrong):
            break
        if VERBOSE:
            print(turn, len(wrong), at[wrong][:4].round(1).tolist())
        _loosen(laid, pieces, hold, wrong, turn)
    return _parted(laid, pieces, at, shape, wrong, hold, gauge, around, pins)


def _parted(
    laid: LaidThreads,
    pieces: Pieces,
    at: Points,
    shape: Outline,
    before: Indices,
    hold: NDArray[np.float64],
    gauge: float,
    around: float,
    pins: Points,
) -> Outline:
    """Make room for the thickness of threads, and go back where that would tangle them."""
    fixed = (hold >= FIXED) | (laid.kind == Kind.END)
    apart = part(at, bars_of(pieces, gauge), fixed, gauge, pins=pins, around=around)
    give = np.ones(len(at))
    for turn in range(BACKINGS):
        mixed = at + give[:, None] * (apart - at)
        _place_stubs(laid, mixed, gauge)
        moved = outline(laid, pieces, mixed, gauge, around, hold < FIXED)
        wrong = np.setdiff1d(tangled(laid, moved, mixed), before)
        if not len(wrong):
            return moved
        if VERBOSE:
            print("back", turn, len(wrong))
        near = np.zeros(len(at), bool)
        near[wrong] = True
        for _ in range(1 + turn):
            touching = near[pieces.nodes].any(axis=1)
            near[pieces.nodes[touching].ravel()] = True
        give[near] *= 0.5 if turn < 4 else 0.0
    return shape


def _standing_pins(laid: LaidThreads) -> Points:
    """Return (H, 2) the pins that are used."""
    plan = laid.plan
    used = {*plan.hole.tolist(), *plan.turn.tolist(), *(h.hole for h in plan.hangings)} - {-1}
    return plan.pricking.holes[sorted(used)]


def _place_stubs(laid: LaidThreads, at: Points, gauge: float) -> None:
    """Cut threads that are thrown out on the way just beyond their last crossing."""
    legs = np.array([t.leg for t in laid.plan.throwings if not t.end], np.int64)
    end = laid.visits[laid.starts[1:] - 1]
    visit = laid.starts[1:][np.isin(laid.leg[end], legs)] - 1
    last, former = laid.visits[visit - 1], laid.visits[visit - 2]
    run = at[last] - at[former]
    run /= np.maximum(np.hypot(*run.T), 1e-9)[:, None]
    from_left = laid.left[last] == laid.thread[visit]
    right = np.stack([run[:, 1], -run[:, 0]], axis=1)
    run += 0.5 * np.where(from_left, 1.0, -1.0)[:, None] * right
    at[laid.visits[visit]] = at[last] + STUB * gauge * run


def tangled(laid: LaidThreads, shape: Outline, at: Points) -> Indices:
    """Return the nodes next to a crossing that the plan does not have, or that is inside out."""
    found = find_meetings(shape.points, shape.starts, shape.node)
    visit = shape.visit[np.concatenate([found.first, found.second])]
    near = np.concatenate(
        [laid.visits[visit], laid.visits[np.minimum(visit + 1, len(laid.visits) - 1)]]
    )
    return np.unique(np.concatenate([near, _inside_out(laid, shape)]))


def _inside_out(laid: LaidThreads, shape: Outline) -> Indices:
    """Return crossings whose threads do not come and go in the right order round them."""
    here = np.flatnonzero(laid.kind[np.minimum(shape.node, len(laid.kind) - 1)] == Kind.CROSSING)
    here = here[shape.node[here] < len(laid.kind)]
    node = shape.node[here]
    thread = laid.thread[shape.visit[here]]
    from_left = laid.left[node] == thread
    come = shape.points[here - 1] - shape.points[here]
    go = shape.points[here + 1] - shape.points[here]
    angle = np.zeros((len(laid.kind), 4))
    angle[node, np.where(from_left, 0, 1)] = np.arctan2(come[:, 1], come[:, 0])
    angle[node, np.where(from_left, 2, 3)] = np.arctan2(go[:, 1], go[:, 0])
    turned = np.mod(angle[:, 1:] - angle[:, :1], 2 * np.pi)
    right = (turned[:, 0] < turned[:, 1]) & (turned[:, 1] < turned[:, 2]) & (turned[:, 0] > 0)
    return np.flatnonzero((laid.kind == Kind.CROSSING) & ~right)


def _loosen(
    laid: LaidThreads, pieces: Pieces, hold: NDArray[np.float64], wrong: Indices, turn: int
) -> None:
    """Let go, step by step, of what holds tangled nodes and their neighbours.

    Crossings first, then pins and the hangings on the way; the piece's beginning and end stay.
    """
    near = np.zeros(len(hold), bool)
    near[wrong] = True
    if turn > 4:
        near[pieces.nodes[near[pieces.nodes].any(axis=1)].ravel()] = True
    later = np.zeros(len(laid.plan.twists), bool)
    later[[h.leg for h in laid.plan.hangings if not h.start]] = True
    free = laid.kind == Kind.CROSSING
    if turn > 3:
        free |= (laid.kind == Kind.BEND) | ((laid.kind == Kind.START) & later[laid.leg])
    near &= free
    hold[near] = np.where(hold[near] >= FIXED, 3.0, 0.4 * hold[near])


def _draw(laid: LaidThreads, shape: Outline, gauge: float) -> tuple[Curves, Crossings]:
    """Round the polygons off, less where that would make threads cross that do not."""
    ease = np.ones(len(laid.visits))
    for _ in range(6):
        curves = round_off(shape, gauge, ease)
        found = find_meetings(curves.points, curves.starts)
        visit = curves.visit[np.stack([found.first, found.second])]
        wrong, node = _match(laid, visit)
        if not len(wrong):
            break
        ease[wrong] *= 0.5
        ease[np.minimum(wrong + 1, len(ease) - 1)] *= 0.5
    at = np.zeros((len(laid.kind), 2))
    known = node >= 0
    at[node[known]] = found.at[known]
    crossing = np.flatnonzero(laid.kind == Kind.CROSSING)
    return curves, Crossings(laid.over[crossing], laid.under[crossing], at[crossing])


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
    times = np.bincount(node[node >= 0], minlength=len(laid.kind))
    bad = (node < 0) | (times[np.maximum(node, 0)] != 1)
    missing = np.flatnonzero((laid.kind == Kind.CROSSING) & (times == 0))
    visits = np.concatenate([visit[:, bad].ravel(), np.flatnonzero(np.isin(laid.visits, missing))])
    return np.unique(visits), node

"""Bring threads to rest without a crossing that the plan does not have."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from render.settle.anchors import hang_ends, hold_turns, stitches_of_legs
from render.settle.contact import bars_of, part
from render.settle.outline import Outline, outline
from render.settle.phantoms import find_meetings
from render.settle.pulls import Pieces
from render.settle.tension import FIXED, rest
from render.threads.network import Kind, LaidThreads

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

ROUNDS = 5
# How often tangled threads are loosened and pulled taut again.
UNTANGLINGS = 14
# How often ends and starts are shortened, and how often contact is taken back, before giving up.
TRIMMINGS = 6
BACKINGS = 8
# How many nodes on a thread tell which way it runs.
FOLLOWED = 5
# What is left of a thread thrown out on the way, in gauges.
STUB = 0.8
# Least factors on the length of ends and on the bulges of twisted pairs.
SHORTEST_END, NARROWEST = 0.05, 0.2


@dataclass
class Net:
    """A net of threads while it comes to rest.

    Attributes
    ----------
    laid, pieces
        The threads, and the pieces between their nodes.
    gauge, around
        Diameter of the threads in mm, and distance from the middle of a pin to a thread round it.
    state
        ``pillow`` or ``finished``.
    hold, target
        How hard each node is held, and where; see `tension.rest`.
    at
        (N, 2) where the nodes are.
    breadth
        (N,) factor on the bulges of twisted pairs.
    reach
        (N,) factor on how far a start or an end lies from the nodes next to it.
    wrong
        Nodes that are still tangled.
    """

    laid: LaidThreads
    pieces: Pieces
    gauge: float
    around: float
    state: str
    hold: NDArray[np.float64]
    target: Points
    at: Points = field(init=False)
    breadth: NDArray[np.float64] = field(init=False)
    reach: NDArray[np.float64] = field(init=False)
    shape: Outline = field(init=False)
    wrong: Indices = field(init=False)

    def __post_init__(self) -> None:
        self.hold, self.target = self.hold.copy(), self.target.copy()
        self.at = self.target
        self.breadth = np.ones(len(self.at))
        self.reach = np.ones(len(self.at))
        self.wrong = np.zeros(0, np.int64)

    def pull_taut(self) -> None:
        """Let all pulls balance, and loosen what is tangled until nothing is."""
        # At first the ends follow the work, so that threads can then hang straight down.
        free = np.where(self.laid.kind == Kind.END, 0, self.hold)
        self._rest(free, ROUNDS)
        hold_turns(self.laid, self.at, self.target, self.hold, self.gauge, self.around, self.state)
        hang_ends(self.laid, self.at, self.target, self.gauge)
        for turn in range(UNTANGLINGS):
            self._rest(self.hold, ROUNDS if turn == 0 else 2)
            self.shape, self.wrong = self._trimmed(self.at)
            if not len(self.wrong):
                break
            self._loosen(turn)

    def make_room(self) -> Outline:
        """Give threads their thickness, and take it back where that would tangle them."""
        kind = self.laid.kind
        fixed = (self.hold >= FIXED) | (kind == Kind.END)
        pins = _standing_pins(self.laid) if self.state == "pillow" else np.zeros((0, 2))
        apart = part(
            self.at, bars_of(self.pieces, self.gauge), fixed, self.gauge,
            pins=pins, around=self.around,
        )  # fmt: skip
        give = np.ones(len(self.at))
        for turn in range(BACKINGS):
            shape, found = self._trimmed(self.at + give[:, None] * (apart - self.at))
            wrong = np.setdiff1d(found, self.wrong)
            if not len(wrong):
                return shape
            near = self._around(wrong, 1 + turn)
            give[near] *= 0.5 if turn < BACKINGS // 2 else 0.0
        return self.shape

    def _rest(self, hold: NDArray[np.float64], rounds: int) -> None:
        self.at = rest(
            self.at, self.pieces.nodes, self.pieces.pull, hold, self.target,
            group=self.pieces.group, shortest=0.5 * self.gauge, rounds=rounds,
        )  # fmt: skip

    def _trimmed(self, at: Points) -> tuple[Outline, Indices]:
        """Return the polygons and what is tangled, with ends cut and starts hung shorter."""
        for _ in range(TRIMMINGS):
            spots = self._shortened(at)
            shape = outline(
                self.laid, self.pieces, spots, self.gauge, self.around,
                self.hold < FIXED, self.breadth,
            )  # fmt: skip
            wrong = tangled(self.laid, shape)
            loose_ends = wrong[np.isin(self.laid.kind[wrong], (Kind.START, Kind.END))]
            if not len(loose_ends):
                break
            self.reach[loose_ends] = np.maximum(0.6 * self.reach[loose_ends], SHORTEST_END)
        return shape, wrong

    def _shortened(self, at: Points) -> Points:
        """Draw starts and ends towards the nodes next to them by their reach."""
        laid = self.laid
        spots = at.copy()
        self._part_loose_bends(spots)
        end_visit, begin_visit = laid.starts[1:] - 1, laid.starts[:-1]
        _place_stubs(laid, spots, self.gauge)
        end, last = laid.visits[end_visit], laid.visits[end_visit - 1]
        spots[end] = spots[last] + self.reach[end, None] * (spots[end] - spots[last])
        start, first = laid.visits[begin_visit], laid.visits[begin_visit + 1]
        middle = np.zeros_like(at)
        np.add.at(middle, start, at[first] / 2)
        spots[start] = middle[start] + self.reach[start, None] * (at[start] - middle[start])
        return spots

    def _hang_anew(self, outer: NDArray[np.bool_]) -> None:
        """Let starts and ends follow the work: just outside it, along their own threads."""
        laid = self.laid
        moved = np.zeros_like(self.at)
        count = np.zeros(len(self.at))
        for visit, step in ((laid.starts[:-1], 1), (laid.starts[1:] - 1, -1)):
            node = laid.visits[visit]
            inner = laid.visits[
                np.clip(visit + step * FOLLOWED, laid.starts[:-1], laid.starts[1:] - 1)
            ]
            next_to = laid.visits[visit + step]
            way = self.at[next_to] - self.at[inner]
            way /= np.maximum(np.hypot(*way.T), 1e-9)[:, None]
            np.add.at(moved, node, self.at[next_to] + 2 * self.gauge * way)
            np.add.at(count, node, 1)
        self.target[outer] = moved[outer] / count[outer, None]
        self.hold[outer] = 1.0

    def _part_loose_bends(self, spots: Points) -> None:
        """Lay the two threads of a pair that has left its pin side by side."""
        laid = self.laid
        visit = np.flatnonzero(((laid.kind == Kind.BEND) & (self.hold < FIXED))[laid.visits])
        node = laid.visits[visit]
        run = spots[laid.visits[visit + 1]] - spots[laid.visits[visit - 1]]
        length = np.maximum(np.hypot(*run.T), 1e-9)
        run /= length[:, None]
        side = laid.plan.turn_side[laid.leg[node]] * (2 * laid.ring[node] - 1)
        width = np.minimum(0.5 * self.breadth[node] * self.gauge, 0.2 * length)
        right = np.stack([run[:, 1], -run[:, 0]], axis=1)
        spots[node] += (side * width)[:, None] * right

    def _around(self, wrong: Indices, steps: int) -> NDArray[np.bool_]:
        """Mark nodes and those up to some pieces away."""
        near = np.zeros(len(self.at), bool)
        near[wrong] = True
        for _ in range(steps):
            near[self.pieces.nodes[near[self.pieces.nodes].any(axis=1)].ravel()] = True
        return near

    def _loosen(self, turn: int) -> None:
        """Let go, step by step, of what holds tangled nodes and their neighbours.

        Crossings first, then pins and pairs that begin or end in areas or on the way; where ground
        begins and ends stays.
        """
        laid = self.laid
        near = self._around(self.wrong, int(turn > 3))
        free = laid.kind == Kind.CROSSING
        if turn > 2:
            free |= (laid.kind == Kind.BEND) | _yielding(laid)
            self.breadth[near] = np.maximum(0.6 * self.breadth[near], NARROWEST)
        near &= free
        outer = near & _yielding(laid)
        if outer.any():
            self._hang_anew(outer)
            near &= ~outer
        self.hold[near] = np.where(self.hold[near] >= FIXED, 3.0, 0.4 * self.hold[near])


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


def _standing_pins(laid: LaidThreads) -> Points:
    """Return (H, 2) the pins that are used."""
    plan = laid.plan
    used = {*plan.hole.tolist(), *plan.turn.tolist(), *(h.hole for h in plan.hangings)} - {-1}
    return np.asarray(plan.pricking.holes[sorted(used)])


def _place_stubs(laid: LaidThreads, at: Points, gauge: float) -> None:
    """Cut pairs that are thrown out on the way just beyond their last crossings."""
    thrown = np.zeros(len(laid.plan.twists), bool)
    thrown[[t.leg for t in laid.plan.throwings if not t.end]] = True
    visit = laid.starts[1:] - 1
    visit = visit[thrown[laid.leg[laid.visits[visit]]]]
    end, last, former = (laid.visits[visit - k] for k in range(3))
    run = np.zeros((len(laid.plan.twists), 2))
    np.add.at(run, laid.leg[end], at[last] - at[former])
    way = run[laid.leg[end]]
    way /= np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    right = np.stack([way[:, 1], -way[:, 0]], axis=1)
    # Threads of one leg were recorded left and right.
    order = np.argsort(end, kind="stable")
    side = np.empty(len(end))
    side[order] = np.tile([-1.0, 1.0], len(end) // 2)
    at[end] = at[last] + STUB * gauge * (way + 0.5 * side[:, None] * right)


def tangled(laid: LaidThreads, shape: Outline) -> Indices:
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

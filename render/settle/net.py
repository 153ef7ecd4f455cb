"""A net of threads between its crossings while it comes to rest."""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.settle.clasped import tied_legs
from render.settle.faces import Faces
from render.settle.flat import lay_ends
from render.settle.legs import legs_thrown_out
from render.settle.outline import Outline, outline
from render.settle.phantoms import find_meetings
from render.settle.pulls import Pieces
from render.settle.tension import FIXED, rest
from render.settle.thickness import Thickness
from render.threads.network import Kind, LaidThreads

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

# How often ends and starts are shortened, and how often a move is taken back, before giving up.
TRIMMINGS = 4
BACKINGS = 6
# When only some nodes move, others are near that are no further off than so many usual pieces of
# thread.
NEARBY = 12.0
# What is left of a thread thrown out on the way, in gauges.
STUB = 0.8
# Least factor on the length of starts and ends, and of those in what was drawn flat.
SHORTEST_END, SHORTEST_FLAT = 0.05, 0.002

# What changes while a net comes to rest.
CHANGING = ("hold", "at", "breadth", "reach", "flat", "off_pin", "wrong", "moving", "seen")


@dataclass
class Net:
    """A net of threads while it comes to rest.

    Attributes
    ----------
    laid, pieces
        The threads, and the pieces between their nodes.
    thick
        Which of them are thicker than the others.
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
    flat
        (N,) nodes that were drawn flat: their starts and ends lie where they are put.
    off_pin
        (N,) bends that do not go round their pins.
    tied
        (N,) bends of loops that are tied beside others, outside their pins.
    faces
        The map of the net, once something was drawn flat.
    moving, seen
        (N,) nodes that may move for the time being, and those near them, among which tangles are
        looked for.
    wrong
        Nodes that are still tangled.
    thrown
        (L,) legs that are thrown out on the way.
    """

    laid: LaidThreads
    pieces: Pieces
    thick: Thickness
    gauge: float
    around: float
    state: str
    hold: NDArray[np.float64]
    target: Points
    at: Points = field(init=False)
    breadth: NDArray[np.float64] = field(init=False)
    reach: NDArray[np.float64] = field(init=False)
    flat: NDArray[np.bool_] = field(init=False)
    off_pin: NDArray[np.bool_] = field(init=False)
    moving: NDArray[np.bool_] = field(init=False)
    seen: NDArray[np.bool_] = field(init=False)
    tied: NDArray[np.bool_] = field(init=False)
    faces: Faces | None = None
    shape: Outline = field(init=False)
    wrong: Indices = field(init=False)
    thrown: NDArray[np.bool_] = field(init=False)

    def __post_init__(self) -> None:
        self.hold, self.target = self.hold.copy(), self.target.copy()
        self.at = self.target
        self.breadth = np.ones(len(self.at))
        self.reach = np.ones(len(self.at))
        self.flat = np.zeros(len(self.at), bool)
        bend = self.laid.kind == Kind.BEND
        self.tied = bend & np.isin(self.laid.leg, sorted(tied_legs(self.laid)))
        self.off_pin = self.tied.copy()
        self.wrong = np.zeros(0, np.int64)
        self.thrown = legs_thrown_out(self.laid.plan)
        self.look_at(None)

    def look_at(self, moving: NDArray[np.bool_] | None) -> None:
        """Let only some nodes move, and look for tangles near them alone; None for all."""
        everywhere = np.ones(len(self.at), bool)
        if moving is None:
            self.moving = self.seen = everywhere
            return
        middle = float(np.median(np.hypot(*np.diff(self.at[self.pieces.nodes], axis=1)[:, 0].T)))
        apart = cKDTree(self.at[moving]).query(self.at, distance_upper_bound=NEARBY * middle)[0]
        self.moving, self.seen = moving, np.isfinite(apart)

    def start_again(self, other: "Net") -> None:
        """Take back everything to where another net is."""
        for name in CHANGING:
            setattr(self, name, getattr(other, name).copy())
        self.shape = other.shape

    def copy(self) -> "Net":
        """Return a net that can be changed without changing this one."""
        other = replace(self)
        other.start_again(self)
        other.faces = self.faces
        return other

    def rested(self, hold: NDArray[np.float64], rounds: int) -> Points:
        """Return (N, 2) where nodes come to rest if held so hard."""
        here = np.flatnonzero(self.moving[self.pieces.nodes].any(axis=1))
        nodes, edges = np.unique(self.pieces.nodes[here], return_inverse=True)
        moving = self.moving[nodes]
        found = self.at.copy()
        found[nodes] = rest(
            self.at[nodes],
            edges.reshape(-1, 2),
            self.pieces.pull[here],
            np.where(moving, hold[nodes], FIXED),
            np.where(moving[:, None], self.target[nodes], self.at[nodes]),
            group=np.unique(self.pieces.group[here], return_inverse=True)[1],
            shortest=0.5 * self.gauge,
            rounds=rounds,
        )
        return found

    def trimmed(self, at: Points) -> tuple[Outline, Indices]:
        """Return the polygons and what is tangled, with ends cut and starts hung shorter."""
        for _ in range(TRIMMINGS):
            spots = self._shortened(at)
            shape = outline(
                self.laid, self.pieces, spots, self.gauge, self.around,
                self.off_pin, self.breadth,
            )  # fmt: skip
            wrong = tangled(self.laid, shape, self.seen)
            loose_ends = wrong[np.isin(self.laid.kind[wrong], (Kind.START, Kind.END, Kind.TIP))]
            if not len(loose_ends):
                break
            least = np.where(self.flat[loose_ends], SHORTEST_FLAT, SHORTEST_END)
            self.reach[loose_ends] = np.maximum(0.6 * self.reach[loose_ends], least)
        return shape, wrong

    def move_to(self, goal: Points) -> None:
        """Move nodes towards where they would be, as far as nothing tangles."""
        give = np.ones(len(self.at))
        for turn in range(BACKINGS):
            moved = self.at + give[:, None] * (goal - self.at)
            shape, found = self.trimmed(moved)
            wrong = np.setdiff1d(found, self.wrong)
            if not len(wrong):
                self.at, self.shape = moved, shape
                return
            near = self.around_nodes(wrong, 1 + turn)
            give[near] *= 0.5 if turn < BACKINGS // 2 else 0.0

    def around_nodes(self, wrong: Indices, steps: int) -> NDArray[np.bool_]:
        """Mark nodes and those up to some pieces away."""
        near = np.zeros(len(self.at), bool)
        near[wrong] = True
        for _ in range(steps):
            near[self.pieces.nodes[near[self.pieces.nodes].any(axis=1)].ravel()] = True
        return near

    def _shortened(self, at: Points) -> Points:
        """Draw starts and ends towards the nodes next to them by their reach."""
        laid = self.laid
        spots = at.copy()
        self._part_loose_bends(spots)
        end_visit, begin_visit = laid.starts[1:] - 1, laid.starts[:-1]
        _place_stubs(laid, self.thrown, spots, self.gauge)
        spots[self.flat] = at[self.flat]
        if self.faces is not None:
            thrown = self.flat & (laid.kind == Kind.END) & (self.hold < FIXED)
            lay_ends(spots, self.faces, thrown, STUB * self.gauge)
        end, last = laid.visits[end_visit], laid.visits[end_visit - 1]
        spots[end] = spots[last] + self.reach[end, None] * (spots[end] - spots[last])
        start, first = laid.visits[begin_visit], laid.visits[begin_visit + 1]
        middle = np.zeros_like(at)
        np.add.at(middle, start, at[first] / np.bincount(start)[start, None])
        start = start[~self.flat[start]]
        spots[start] = middle[start] + self.reach[start, None] * (at[start] - middle[start])
        return spots

    def _part_loose_bends(self, spots: Points) -> None:
        """Lay the two threads of a pair that has left its pin side by side."""
        laid = self.laid
        visit = np.flatnonzero(((laid.kind == Kind.BEND) & self.off_pin & ~self.flat)[laid.visits])
        node = laid.visits[visit]
        run = spots[laid.visits[visit + 1]] - spots[laid.visits[visit - 1]]
        length = np.maximum(np.hypot(*run.T), 1e-9)
        run /= length[:, None]
        side = laid.plan.turn_side[laid.leg[node]] * (2 * (laid.ring[node] % 2) - 1)
        width = np.minimum(0.5 * self.breadth[node] * self.gauge, 0.2 * length)
        right = np.stack([run[:, 1], -run[:, 0]], axis=1)
        spots[node] += (side * width)[:, None] * right


def _place_stubs(laid: LaidThreads, thrown: NDArray[np.bool_], at: Points, gauge: float) -> None:
    """Cut pairs that are thrown out on the way just beyond their last crossings."""
    visit = laid.starts[1:] - 1
    visit = visit[laid.kind[laid.visits[visit]] == Kind.END]
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


def tangled(laid: LaidThreads, shape: Outline, seen: NDArray[np.bool_]) -> Indices:
    """Return the nodes next to a crossing that the plan does not have, or that is inside out.

    Only pieces of thread that begin at the (N,) nodes `seen` are looked at.
    """
    only = None if seen.all() else seen[laid.visits[shape.visit]]
    found = find_meetings(shape.points, shape.starts, shape.node, only)
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

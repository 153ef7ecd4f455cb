"""The lattice that holes of ground stand on: followed from hole to hole as it bends.

Every hole has a step to its lower-left and one to its lower-right neighbour. Where they are surest
they are read off the card about the working direction; from there they are carried on from hole to
hole, so that a lattice may be stretched, sheared, bent to an arc or laid round a centre.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.spatial import cKDTree

from render.plan.steps import LEFT, RIGHT, angles, by_match, by_sight, commonest_steps, miss
from render.plan.toward import Directions

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

# How far, in steps, a neighbour may lie from where the lattice expects it.
TOLERANCE = 0.6
# The same for neighbours that are taken first.
SURE = 0.3
# A lattice whose direction varies by more than this is tried from so many holes this far apart, as
# a share of the piece.
BENT = np.deg2rad(3)
TRIES, APART = 6, 0.2
# Another reading is taken only if it is this many times as good.
MORE = 1.01
# How much the step a hole was reached with counts beside those measured at it.
INHERITED = 0.3
# Steps are evened out over this many rounds of neighbours.
EVENINGS = 2


@dataclass(frozen=True, eq=False)
class Lattice:
    """Where each hole expects its neighbours.

    Attributes
    ----------
    step
        (N, 2, 2) for each hole the vectors in mm to where its lower-left and lower-right
        neighbours should be.
    down
        (N, 2) unit vectors: which way the work proceeds at each hole. It turns as the lattice does.
    place
        (N, 2) column and half row on the lattice, counted from the hole it was followed from.
    piece
        (N,) that hole: places can be compared where it is the same; -1 off any lattice.
    followed
        Links by which the lattice was followed: (upper hole, lower hole, port).
    """

    step: Points
    down: Points
    place: Indices
    piece: Indices
    followed: tuple[tuple[int, int, int], ...]

    def miss(self, hole: Indices, run: Points, port: int) -> NDArray[np.float64]:
        """Return how far, in steps, runs from or to holes end from a neighbour by a port."""
        return miss(self.step[hole], run, port)

    def cut(self, links: Indices) -> "Lattice":
        """Return the lattice with places counted along (K, 3) links alone."""
        place, piece = np.zeros_like(self.place), np.full(len(self.piece), -1)
        beside: dict[int, list[tuple[int, int, int]]] = {}
        for a, b, port in links.tolist():
            aside = 1 if port == RIGHT else -1
            beside.setdefault(a, []).append((b, aside, 1))
            beside.setdefault(b, []).append((a, -aside, -1))
        for first in sorted(beside):
            if piece[first] >= 0:
                continue
            piece[first], found = first, [first]
            for hole in found:
                for other, aside, down in beside[hole]:
                    if piece[other] < 0:
                        piece[other] = first
                        place[other] = place[hole] + np.array([aside, down])
                        found.append(other)
        return replace(self, place=place, piece=piece)


def read_lattice(
    holes: Points,
    part: Indices,
    neighbours: Indices,
    directions: Directions,
    *,
    tolerance: float = TOLERANCE,
) -> Lattice:
    """Find the steps of every hole.

    Parameters
    ----------
    holes
        (N, 2) in mm.
    part
        The holes that may stand on the lattice.
    neighbours
        (E, 2) holes next to each other.
    directions
        Which way the work should proceed.
    tolerance
        How far, in steps, a neighbour may lie from where the lattice expects it.
    """
    toward = directions.toward
    usual = commonest_steps(holes, neighbours, toward)
    matched = by_match(holes, part, usual, directions)
    best, most = _follow(holes, part, *matched, directions, tolerance)
    turn = angles(toward, _turned(toward, best))[part]
    bent = len(part) > 0 and float(np.std(turn)) > BENT
    if bent or directions.drawn:
        for step, seeds in (matched, by_sight(holes, part, neighbours, usual, directions)):
            for first in _spread(holes, seeds):
                order = [first, *seeds]
                growth, value = _follow(holes, part, step, order, directions, tolerance)
                # What is regular either way is read as the commonest.
                if value > MORE * most:
                    best, most = growth, value
    step = _evened(len(holes), best.step, best.links)
    best.step = step
    return Lattice(step, _turned(toward, best), best.place, best.origin, tuple(best.links))


def _follow(
    holes: Points,
    part: Indices,
    step: Points,
    seeds: list[int],
    directions: Directions,
    tolerance: float,
) -> tuple["_Growth", float]:
    """Follow the lattice from seeds; return it and how good a reading it is.

    Cells that close count, more where they lie in the working direction and have even sides.
    """
    growth = _Growth(holes, part, step, tolerance)
    growth.follow(seeds)
    told = part[directions.told[part]]
    step, size = growth.step[told], np.maximum(np.linalg.norm(growth.step[told], axis=2), 1e-9)
    aside = angles(directions.toward[told], (step / size[:, :, None]).sum(axis=1))
    even = np.cos(aside) + size.min(axis=1) / size.max(axis=1)
    return growth, growth.closed() * (1 + float(even.mean() if len(told) else 0.0))


def _spread(holes: Points, seeds: list[int]) -> list[int]:
    """Choose some of the first seeds that lie well apart."""
    reach = APART * float(np.hypot(*np.ptp(holes, axis=0)))
    chosen: list[int] = []
    for seed in seeds:
        if all(np.hypot(*(holes[seed] - holes[other])) > reach for other in chosen):
            chosen.append(seed)
        if len(chosen) == TRIES:
            break
    return chosen


@dataclass
class _Growth:
    """A lattice while it is followed from hole to hole.

    Attributes
    ----------
    step
        (N, 2, 2) the steps known so far.
    tolerance
        How far, in steps, a neighbour may lie from where it is expected.
    origin
        (N,) the hole each one's steps were carried on from in the first place.
    place
        (N, 2) column and half row from there.
    links
        What was found: (source, target, port).
    """

    holes: Points
    part: Indices
    step: Points
    tolerance: float
    links: list[tuple[int, int, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        count = len(self.holes)
        self.step = self.step.copy()
        self.origin = np.full(count, -1)
        self.place = np.zeros((count, 2), np.int64)
        self._weight = np.full((count, 2), INHERITED)
        # The neighbour by port, below (0) and above (1).
        self._beside = np.full((count, 2, 2), -1)
        self._tree = cKDTree(self.holes[self.part])

    def follow(self, seeds: Sequence[int]) -> None:
        """Carry the steps of each seed that was not yet reached as far as the lattice goes."""
        for seed in seeds:
            if self.origin[seed] >= 0:
                continue
            self.origin[seed] = seed
            front = np.array([seed], np.int64)
            while len(front):
                front = self._wave(front, SURE)
                if not len(front):
                    front = self._wave(np.flatnonzero(self.origin == seed), self.tolerance)

    def closed(self) -> int:
        """Count the cells with all four sides, a measure of how well the lattice was read."""
        left, right = (np.append(self._beside[:, port, 0], -1) for port in (LEFT, RIGHT))
        below = right[left]
        return int(((below >= 0) & (below == left[right])).sum())

    def _wave(self, front: Indices, tolerance: float) -> Indices:
        """Join the holes of a front to their neighbours; return those joined."""
        wished = []
        for port in (LEFT, RIGHT):
            for below, sign in ((0, 1.0), (1, -1.0)):
                hole = front[self._beside[front, port, below] < 0]
                wish = self.holes[hole] + sign * self.step[hole, port]
                other = self.part[np.asarray(self._tree.query(wish)[1], np.int64)]
                run = sign * (self.holes[other] - self.holes[hole])
                off = miss(self.step[hole], run, port)
                near = np.flatnonzero((off <= tolerance) & (other != hole))
                ends = zip(hole[near].tolist(), other[near].tolist(), strict=True)
                # Rounded, so that a card that lies turned on the table is read alike.
                order = np.round(off[near], 6).tolist()
                wished += [(m, a, b, port, below) for m, (a, b) in zip(order, ends, strict=True)]
        joined: set[int] = set()
        for _, hole, other, port, below in sorted(wished):
            if self._join(hole, other, port, below):
                joined |= {hole, other}
        return np.array(sorted(joined), np.int64)

    def _join(self, hole: int, other: int, port: int, below: int) -> bool:
        if self._beside[hole, port, below] >= 0 or self._beside[other, port, 1 - below] >= 0:
            return False
        run = (self.holes[other] - self.holes[hole]) * (1 - 2 * below)
        if self.origin[other] < 0:
            self.origin[other] = self.origin[hole]
            self.step[other] = self.step[hole]
            aside = 1 if port == RIGHT else -1
            self.place[other] = self.place[hole] + (1 - 2 * below) * np.array([aside, 1])
        elif miss(self.step[other][None], run[None], port)[0] > self.tolerance:
            return False
        self._beside[hole, port, below], self._beside[other, port, 1 - below] = other, hole
        self.links.append((other, hole, port) if below else (hole, other, port))
        for end in (hole, other):
            weight = self._weight[end, port]
            self.step[end, port] = (weight * self.step[end, port] + run) / (weight + 1)
            self._weight[end, port] += 1
        return True


def _evened(count: int, step: Points, links: list[tuple[int, int, int]]) -> Points:
    """Return steps averaged over each hole and its neighbours."""
    ends = np.array(links, np.int64).reshape(-1, 3)[:, :2]
    a, b, own = ends[:, 0], ends[:, 1], np.arange(count)
    shape = (count, count)
    rows, columns = np.concatenate([a, b, own]), np.concatenate([b, a, own])
    around = coo_array((np.ones(len(rows)), (rows, columns)), shape=shape).tocsr()
    size = np.asarray(around.sum(axis=1)).ravel()[:, None]
    flat = step.reshape(count, 4)
    for _ in range(EVENINGS):
        flat = (around @ flat) / size
    return np.asarray(flat.reshape(count, 2, 2))


def _turned(toward: Points, growth: _Growth) -> Points:
    """Return the working direction at each hole: that of its origin, turned as the steps turn."""
    step = growth.step
    origin = np.where(growth.origin >= 0, growth.origin, np.arange(len(toward)))
    turns = [angles(step[origin, port], step[:, port]) for port in (LEFT, RIGHT)]
    # The mean of two directions, not of numbers that jump by a full turn.
    turn = np.round(np.angle(np.exp(1j * np.array(turns)).sum(axis=0)), 9)
    c, s = np.cos(turn), np.sin(turn)
    x, y = toward[origin].T
    return np.stack([c * x - s * y, s * x + c * y], axis=1)

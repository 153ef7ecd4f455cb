"""Legs and gimps as a map in the plane: where gimps cross each other, and whether all lie flat."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from render.geometry import maps
from render.plan.model import Gimp, GimpCrossing, WorkingPlan

Indices = NDArray[np.int64]
Spot = tuple[float, float]


@dataclass(frozen=True, eq=False)
class _Map:
    """Corners with edges between them, as half-edges clockwise round one corner after another.

    Attributes
    ----------
    corner
        (H,) of each half-edge, numbered from 0.
    twin, clockwise
        (H,) the other half of its edge, and the next one round its corner.
    """

    corner: Indices
    twin: Indices
    clockwise: Indices


def lie_flat(
    plan: WorkingPlan, gimps: Sequence[Gimp], crossings: Sequence[GimpCrossing] = ()
) -> bool:
    """Tell whether a map of legs and gimps can be drawn in the plane.

    Stitches, passings, crossings and loose ends are its corners; the order of legs and gimps round
    each is known from the work.
    """
    pieces = _Pieces(plan, gimps)
    rows: list[tuple[int, ...]] = []
    ends: dict[tuple[int, bool], tuple[int, int]] = {}
    for g, gimp in enumerate(gimps):
        edge = pieces.fresh()
        rows.append((edge,))
        for k in range(len(gimp.passings)):
            onward = pieces.fresh()
            above, below = pieces.of[g, k]
            left, right = (edge, onward) if gimp.passings[k].rightward else (onward, edge)
            rows.append((above, right, below, left))
            edge = onward
            for n, is_left in crossings_on(crossings, g, k):
                onward = pieces.fresh()
                ends[n, is_left] = edge, onward
                edge = onward
        rows.append((edge,))
    for n in range(len(crossings)):
        (left, left_on), (right, right_on) = ends[n, True], ends[n, False]
        rows.append((left, right, left_on, right_on))
    drawn = _draw(plan, pieces, rows)
    return maps.lies_flat(drawn.corner, drawn.twin, drawn.clockwise)


def crossings_on(
    crossings: Sequence[GimpCrossing], gimp: int, passing: int
) -> list[tuple[int, bool]]:
    """Return what a gimp crosses between a passing and the next: which, and whether it is left."""
    found = [
        (crossing.left_share if is_left else crossing.right_share, n, is_left)
        for n, crossing in enumerate(crossings)
        for is_left in (True, False)
        if (crossing.left if is_left else crossing.right) == (gimp, passing)
    ]
    return [(n, is_left) for _, n, is_left in sorted(found)]


def find_crossings(plan: WorkingPlan, gimps: Sequence[Gimp]) -> list[GimpCrossing]:
    """Return where gimps have to cross each other, or one itself, to get from pair to pair.

    In each gap the ways from one passing to the next are taken for straight: two of them cross
    just when the ends of one part those of the other along the edge of the gap.
    """
    pieces = _Pieces(plan, gimps)
    rows = list(pieces.of.values())
    drawn = _draw(plan, pieces, rows)
    place = {key: k for k, key in enumerate(pieces.of)}
    onward = drawn.clockwise[drawn.twin]
    face = maps.cycles(onward)
    ways: dict[int, list[tuple[tuple[int, int], int, int]]] = {}
    for g, gimp in enumerate(gimps):
        for k in range(len(gimp.passings) - 1):
            # Clockwise after the piece above a passing lies what is right of the leg.
            here = 2 * place[g, k] + (not gimp.passings[k].rightward)
            there = 2 * place[g, k + 1] + gimp.passings[k + 1].rightward
            begin, end = int(drawn.twin[here]), int(drawn.twin[there])
            if face[begin] == face[end]:
                ways.setdefault(int(face[begin]), []).append(((g, k), begin, end))
    return [
        crossing
        for those in ways.values()
        if len(those) > 1
        for crossing in _crossings_in(those, _ranks(those[0][1], onward), gimps)
    ]


def _crossings_in(
    ways: Sequence[tuple[tuple[int, int], int, int]], rank: dict[int, int], gimps: Sequence[Gimp]
) -> Iterable[GimpCrossing]:
    """Yield the crossings in one gap, whose edge is followed against the clock."""
    for (one, a, b), (other, c, d) in combinations(ways, 2):
        first, second, third, fourth = (rank[k] for k in (a, b, c, d))
        low, high = min(first, second), max(first, second)
        if (low < third < high) == (low < fourth < high):
            continue
        share, other_share = _shares([2 * np.pi * rank[k] / len(rank) for k in (a, b, c, d)])
        # From the left comes the one whose beginning is followed, clockwise, by the other's.
        one_left = (first - third) % len(rank) < (first - fourth) % len(rank)
        ends = [np.array(gimps[g].passings[n].at) for g, k in (one, other) for n in (k, k + 1)]
        spot = (ends[0] * (1 - share) + ends[1] * share) / 2
        spot = spot + (ends[2] * (1 - other_share) + ends[3] * other_share) / 2
        at = (float(spot[0]), float(spot[1]))
        if one_left:
            yield GimpCrossing(one, other, share, other_share, at)
        else:
            yield GimpCrossing(other, one, other_share, share, at)


def _shares(angles: Sequence[float]) -> tuple[float, float]:
    """Return how far along each of two chords of a circle they cross."""
    a, b, c, d = np.column_stack([np.cos(angles), np.sin(angles)])
    run, way, gap = b - a, d - c, c - a
    turn = run[0] * way[1] - run[1] * way[0]
    share = (gap[0] * way[1] - gap[1] * way[0]) / turn
    other = (gap[0] * run[1] - gap[1] * run[0]) / turn
    return float(share), float(other)


def _ranks(first: int, onward: Indices) -> dict[int, int]:
    """Return the places of half-edges along the edge of a face."""
    rank: dict[int, int] = {}
    half = first
    while half not in rank:
        rank[half] = len(rank)
        half = int(onward[half])
    return rank


class _Pieces:
    """Legs cut where gimps pass them.

    Attributes
    ----------
    of
        By gimp and passing: the piece of the leg above it and the one below.
    last
        (L,) the last piece of each leg; the first one has the leg's own number.
    """

    def __init__(self, plan: WorkingPlan, gimps: Sequence[Gimp]) -> None:
        self._next = len(plan.twists)
        self.last = np.arange(self._next)
        stops: dict[int, list[tuple[int, float, int, int]]] = {}
        for g, gimp in enumerate(gimps):
            for k, p in enumerate(gimp.passings):
                stops.setdefault(p.leg, []).append((p.after, p.along, g, k))
        self.of: dict[tuple[int, int], tuple[int, int]] = {}
        for leg, row in stops.items():
            for *_, g, k in sorted(row):
                above, below = int(self.last[leg]), self.fresh()
                self.of[g, k] = above, below
                self.last[leg] = below

    def fresh(self) -> int:
        """Return the number of one more edge."""
        self._next += 1
        return self._next - 1


def _draw(plan: WorkingPlan, pieces: _Pieces, rows: Sequence[tuple[int, ...]]) -> _Map:
    """Return the map of legs, with more corners, which come first: their edges clockwise."""
    ends = [(hung.leg,) for hung in plan.hangings]
    ends += [(int(pieces.last[thrown.leg]),) for thrown in plan.throwings]
    taken, given = pieces.last[plan.taken], plan.given
    stitches = np.stack([taken[:, 0], taken[:, 1], given[:, 1], given[:, 0]], axis=1)
    rows = [*rows, *ends]
    size = np.array([len(row) for row in rows] + [4] * len(stitches), np.int64)
    corner = np.repeat(np.arange(len(size)), size)
    edge = np.concatenate([np.array([e for row in rows for e in row], np.int64), stitches.ravel()])
    halves = np.argsort(edge, kind="stable").reshape(-1, 2)
    twin = np.empty(len(edge), np.int64)
    twin[halves[:, 0]], twin[halves[:, 1]] = halves[:, 1], halves[:, 0]
    clockwise = np.arange(1, len(edge) + 1)
    beyond = np.cumsum(size)
    clockwise[beyond - 1] = beyond - size
    return _Map(corner, twin, clockwise)

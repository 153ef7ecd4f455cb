"""Which hole of ground sends its pairs to which: the lattice of meetings.

Every hole of ground takes a pair from the upper left and one from the upper right and sends one to
the lower left and one to the lower right. A link joins a lower-right port to an upper-left port, or
a lower-left port to an upper-right one, where both ends find each other the best.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay, QhullError, cKDTree

from render.geometry.segments import any_crossed
from render.plan.lattice import TOLERANCE, Lattice, read_lattice
from render.plan.spider_legs import BESIDE_SPIDERS, spider_bodies, with_legs
from render.plan.steps import LEFT, RIGHT
from render.plan.to_areas import links_to_areas, outside_areas
from render.plan.toward import across_seam, directions_on_card, round_about, round_centre
from render.pricking.model import Pricking

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

NO_PIECES = np.zeros((0, 2, 2))


@dataclass(frozen=True, eq=False)
class Links:
    """Pairs on their way from hole to hole.

    Attributes
    ----------
    source, target
        (K,) holes.
    port
        (K,) the side the pair leaves by: LEFT for lower left, RIGHT for lower right.
    step
        (N, 2, 2) for each hole the vectors in mm to where its lower-left and lower-right
        neighbours should be.
    down
        (N, 2) unit vectors: which way the work proceeds at each hole.
    column, piece
        (N,) columns on the lattice, which can be compared where the piece of it is the same.
    seam
        (M, 3) links that were cut where ground closes round a centre: source, target, port.
    bodies
        Holes that are the bodies of spiders: more than two pairs come to each.
    """

    source: Indices
    target: Indices
    port: Indices
    step: Points
    down: Points
    column: Indices
    piece: Indices
    seam: Indices
    bodies: Indices


def find_links(
    pricking: Pricking,
    *,
    outer_side: dict[int, int],
    left_out: frozenset[int] = frozenset(),
    tied: frozenset[int] = frozenset(),
    barred: Points = NO_PIECES,
    joined: frozenset[tuple[int, int]] = frozenset(),
) -> Links:
    """Link the holes of ground to each other and to the edges of areas.

    Parameters
    ----------
    pricking
        The piece.
    outer_side
        For each footside hole the side (LEFT or RIGHT) that is its outside: no diagonal there.
    left_out
        Holes of no ground, where only plaits meet or a picot is made.
    tied
        Areas that plaits join: no ground does so between two of them without a hole of its own.
    barred
        (M, 2, 2) pieces of plaits: no link of ground crosses them.
    joined
        Holes that plaits lead from one to the other: they take the place of links.
    """
    holes = pricking.holes
    free = pricking.interior < 0
    free[list(left_out)] = False
    part = np.flatnonzero(free)
    pairs = part[_neighbours(holes[part])]
    directions = directions_on_card(pricking)
    # Half a step lies between a spider's body and the lattice round it.
    sure = BESIDE_SPIDERS if "spider" in pricking.ground else TOLERANCE
    lattice = read_lattice(holes, part, pairs, directions, tolerance=sure)
    bodies = spider_bodies(pricking, lattice, part)
    if len(bodies):
        part = np.setdiff1d(part, bodies)
        pairs = part[_neighbours(holes[part])]
        lattice = read_lattice(holes, part, pairs, directions)
    centre = round_centre(holes[part], lattice.down[part])
    if centre is not None and not directions.drawn:
        # What closes round is worked round, as edgings of mats are (common practice, no source).
        lattice = read_lattice(holes, part, pairs, round_about(holes, centre))
    followed = np.array(lattice.followed, np.int64).reshape(-1, 3)[:, :2]
    both_ways = np.unique(np.concatenate([pairs, pairs[:, ::-1], followed]), axis=0)
    found: list[tuple[int, int, int]] = []
    for port in (LEFT, RIGHT):
        allowed = _ports_open(both_ways, port, outer_side)
        best = _mutual(holes, lattice, both_ways[allowed], port)
        best = best[outside_areas(pricking, best) & ~_between_tied(pricking, best, tied)]
        found += [(int(a), int(b), port) for a, b in best]
    found = _in_ground(pricking, found)
    free[bodies] = False
    if len(bodies):
        lattice, legs = with_legs(pricking, lattice, part, bodies, found)
        found += legs
    found += links_to_areas(pricking, free, lattice, found, outer_side)
    found = [
        k for k in found
        if k[:2] not in joined and not any_crossed(holes[k[0]], holes[k[1]], barred)
    ]  # fmt: skip
    columns = np.array(sorted(found), np.int64).reshape(-1, 3)
    seam = np.zeros(len(columns), bool)
    if centre is not None:
        seam = across_seam(holes, columns[:, :2], centre, pricking.down)
        lattice = lattice.cut(columns[~seam])
    source, target, port = columns[~seam].T
    return Links(
        source=source,
        target=target,
        port=port,
        step=lattice.step,
        down=lattice.down,
        column=lattice.place[:, 0],
        piece=lattice.piece,
        seam=columns[seam],
        bodies=bodies,
    )


def _neighbours(points: Points) -> Indices:
    """Return (E, 2) pairs of neighbouring points."""
    count = len(points)
    if count < 2:
        return np.zeros((0, 2), np.int64)
    if count >= 4:
        try:
            corners = Delaunay(points).simplices
        except QhullError:  # all in a line
            pass
        else:
            edges = np.concatenate([corners[:, [0, 1]], corners[:, [1, 2]], corners[:, [2, 0]]])
            return np.unique(np.sort(edges, axis=1), axis=0).astype(np.int64)
    near = np.asarray(cKDTree(points).query(points, k=min(count, 4))[1])
    own = np.repeat(np.arange(count), near.shape[1] - 1)
    edges = np.stack([own, near[:, 1:].ravel()], axis=1)
    return np.unique(np.sort(edges, axis=1), axis=0).astype(np.int64)


def _ports_open(pairs: Indices, port: int, outer_side: dict[int, int]) -> NDArray[np.bool_]:
    """Refuse diagonals through the outside of a footside."""
    if not outer_side:
        return np.ones(len(pairs), bool)
    side = np.full(int(max(pairs.max(initial=0), *outer_side)) + 1, -1)
    side[list(outer_side)] = list(outer_side.values())
    return np.asarray((side[pairs[:, 0]] != port) & (side[pairs[:, 1]] != 1 - port))


def _mutual(holes: Points, lattice: Lattice, pairs: Indices, port: int) -> Indices:
    """Keep the pairs whose ends find each other the best."""
    if not len(pairs):
        return pairs
    run = holes[pairs[:, 1]] - holes[pairs[:, 0]]
    miss = np.maximum(*(lattice.miss(end, run, port) for end in pairs.T))
    kept: list[tuple[int, int]] = []
    leaving: set[int] = set()
    entering: set[int] = set()
    for number in np.argsort(miss, kind="stable").tolist():
        if miss[number] > TOLERANCE:
            break
        a, b = pairs[number].tolist()
        if a not in leaving and b not in entering:
            leaving.add(a)
            entering.add(b)
            kept.append((a, b))
    return np.array(sorted(kept), np.int64).reshape(-1, 2)


def _between_tied(pricking: Pricking, pairs: Indices, tied: frozenset[int]) -> NDArray[np.bool_]:
    """Tell which pairs of holes lie on edges of areas that plaits join."""
    on_edge = np.array([not tied.isdisjoint(areas) for areas in pricking.owners], bool)
    return np.asarray(on_edge[pairs].all(axis=1))


def _in_ground(pricking: Pricking, links: list[tuple[int, int, int]]) -> list[tuple[int, int, int]]:
    """Drop links from an area to itself where there is no ground beside it."""
    owners = pricking.owners
    pairs = [(a, b) for a, b, _ in links] + [(b, a) for a, b, _ in links]
    beside = {a for a, b in pairs if not owners[a] or not owners[b]}
    return [
        (a, b, port)
        for a, b, port in links
        if set(owners[a]).isdisjoint(owners[b]) or a in beside or b in beside
    ]

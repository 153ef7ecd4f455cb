"""Links of ground beside areas: none through them, and from free ports to their edges."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.geometry.polygon import contains, nearest_on_path
from render.geometry.segments import any_crossed
from render.plan.lattice import Lattice
from render.plan.steps import LEFT, RIGHT
from render.pricking.model import Area, Pricking

Indices = NDArray[np.int64]

# How far from where a neighbour would be the edge of an area may lie, in steps.
REACH_TO_AREA = 1.0


def outside_areas(pricking: Pricking, pairs: Indices) -> NDArray[np.bool_]:
    """Tell which links run through no area: not inside one, and not along its edge."""
    free = np.ones(len(pairs), bool)
    if not len(pairs):
        return free
    a, b = pricking.holes[pairs[:, 0]], pricking.holes[pairs[:, 1]]
    length = np.hypot(*(b - a).T)
    for area in pricking.areas:
        if area.stitch == "ground":
            continue
        low = np.min([c.min(axis=0) for c in area.contours], axis=0)
        high = np.max([c.max(axis=0) for c in area.contours], axis=0)
        near = ((np.maximum(a, b) >= low) & (np.minimum(a, b) <= high)).all(axis=1)
        rows = np.flatnonzero(near & free)
        if not len(rows):
            continue
        for share in (0.25, 0.5, 0.75):
            spot = a[rows] + share * (b[rows] - a[rows])
            inside = contains(area.contours, spot)
            edge = np.min([nearest_on_path(c, spot, closed=True)[0] for c in area.contours], axis=0)
            deep = inside & (edge > 0.12 * length[rows])
            free[rows[deep]] = False
        free[rows[_neighbours_on_edge(area, pairs[rows])]] = False
    return free


def _neighbours_on_edge(area: Area, pairs: Indices) -> NDArray[np.bool_]:
    """Tell which pairs of holes follow each other along an outline of an area."""
    following = {
        frozenset(pair)
        for edge in area.edges
        for pair in zip(edge.tolist(), np.roll(edge, -1).tolist(), strict=True)
    }
    return np.array([frozenset(pair) in following for pair in pairs.tolist()], bool)


def links_to_areas(
    pricking: Pricking,
    free: NDArray[np.bool_],
    lattice: Lattice,
    found: list[tuple[int, int, int]],
    outer_side: dict[int, int],
) -> list[tuple[int, int, int]]:
    """Lead what is still free in ground to the nearest edge of an area, crossing nothing."""
    holes, steps = pricking.holes, lattice.step
    edge = np.array([h for h, o in enumerate(pricking.owners) if o], np.int64)
    if not len(edge):
        return []
    tree = cKDTree(holes[edge])
    taken = {(a, port, "low") for a, _, port in found} | {(b, 1 - p, "up") for _, b, p in found}
    wishes: list[tuple[float, int, int, int]] = []
    for hole in range(len(holes)):
        if pricking.owners[hole] or not free[hole]:
            continue
        for port in (LEFT, RIGHT):
            size = float(np.hypot(*steps[hole, port]))
            if outer_side.get(hole) != port and (hole, port, "low") not in taken:
                wish = holes[hole] + steps[hole, port]
                for e in edge[tree.query_ball_point(wish, REACH_TO_AREA * size)].tolist():
                    wishes.append((float(np.hypot(*(holes[e] - wish))), hole, e, port))
            if outer_side.get(hole) != 1 - port and (hole, 1 - port, "up") not in taken:
                wish = holes[hole] - steps[hole, port]
                for e in edge[tree.query_ball_point(wish, REACH_TO_AREA * size)].tolist():
                    wishes.append((float(np.hypot(*(holes[e] - wish))), e, hole, port))
    return _grant(pricking, lattice, wishes, found)


def _grant(
    pricking: Pricking,
    lattice: Lattice,
    wishes: list[tuple[float, int, int, int]],
    found: list[tuple[int, int, int]],
) -> list[tuple[int, int, int]]:
    """Accept wished links from the nearest on, as long as they cross nothing."""
    if not wishes:
        return []
    pairs = np.array([(a, b) for _, a, b, _ in wishes], np.int64)
    run = pricking.holes[pairs[:, 1]] - pricking.holes[pairs[:, 0]]
    down = lattice.down[pairs].mean(axis=1)
    possible = (run * down).sum(axis=1) > 0.05 * np.hypot(*run.T)
    possible &= outside_areas(pricking, pairs)
    granted: list[tuple[int, int, int]] = []
    laid = [(a, b) for a, b, _ in found]
    used: set[tuple[int, int, bool]] = set()
    for number in sorted(np.flatnonzero(possible).tolist(), key=lambda n: wishes[n]):
        _, a, b, port = wishes[number]
        ground, low = (a, True) if not pricking.owners[a] else (b, False)
        key = (ground, port if low else 1 - port, low)
        if key in used or (a, b) in laid:
            continue
        segments = pricking.holes[np.array(laid, np.int64).reshape(-1, 2)]
        if any_crossed(pricking.holes[a], pricking.holes[b], segments):
            continue
        used.add(key)
        laid.append((a, b))
        granted.append((a, b, port))
    return granted

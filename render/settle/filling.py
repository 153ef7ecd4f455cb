"""Points that hold the faces of a map open while it is drawn flat.

A face is filled with rings of points, each of half as many as the one outside it, down to one in
the middle. With nothing but that one, rows of nodes would be drawn together: along a plait between
two large faces lengths would shrink by the same share from each crossing to the next.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.settle.faces import Faces

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

# Inside a ring of no more points than this is one in the middle.
SMALL = 6
# How far each ring lies from the one outside it towards the middle of the face.
INWARD = 1 / 3


@dataclass(frozen=True, eq=False)
class Filling:
    """Points in the faces of a map of N nodes.

    Attributes
    ----------
    spots
        (N + P, 2) the nodes, then the points, in mm.
    half, before, after
        (C,) half-edges, and the points in the corner clockwise of each: the one it shares with
        the node before it round the face, and the one it shares with the next; often the same.
    one, other
        (L,) which points are joined to which: points to nodes, and points to points both ways.
    """

    spots: Points
    half: Indices
    before: Indices
    after: Indices
    one: Indices
    other: Indices


@dataclass(frozen=True, eq=False)
class _Ring:
    """Points round faces, clockwise in one face after another.

    Attributes
    ----------
    point, face
        (R,) which points, and in which faces.
    at
        (R, 2) where they are, in mm.
    """

    point: Indices
    face: Indices
    at: Points

    def sizes(self, faces: int) -> Indices:
        return np.bincount(self.face, minlength=faces)


def fill(at: Points, faces: Faces) -> Filling:
    """Fill the inner faces of a map whose nodes are `at` (N, 2) in mm."""
    half = np.array(list(_corners(faces)), np.int64)
    ring = _Ring(faces.node[half], faces.corner[half], at[faces.node[half]])
    middle = _means(ring.at, ring.face, faces.count)
    sizes = ring.sizes(faces.count)
    # What hangs in a face by one node that it comes to twice needs a point in each corner.
    distinct = np.unique(ring.face * len(at) + ring.point) // len(at)
    double = np.bincount(distinct, minlength=faces.count) < sizes
    wanted = np.where(double, sizes, _fewer(sizes))
    spots, links = [at], []
    corners = None
    while len(ring.point):
        first = sum(map(len, spots))
        before, after = _seats(ring, wanted)
        face = np.repeat(np.arange(faces.count), wanted)
        near = _means(ring.at, after, len(face))
        inner = _Ring(first + np.arange(len(face)), face, near + INWARD * (middle[face] - near))
        before, after = inner.point[before], inner.point[after]
        apart = before != after
        inward = np.concatenate([after, before[apart]])
        outward = np.concatenate([ring.point, ring.point[apart]])
        links += [(inward, outward), (before[apart], after[apart]), (after[apart], before[apart])]
        if corners is None:
            corners = before, after
        else:
            links.append((outward, inward))
        spots.append(inner.at)
        kept = wanted[face] > 1
        ring = _Ring(inner.point[kept], face[kept], inner.at[kept])
        wanted = _fewer(ring.sizes(faces.count))
    one, other = (np.concatenate(ends) for ends in zip(*links, strict=True))
    before, after = corners or (half, half)
    return Filling(np.concatenate(spots), half, before, after, one, other)


def _corners(faces: Faces) -> Iterator[int]:
    """Yield the half-edges whose corners lie in inner faces, round one face after another."""
    seen = (faces.corner < 0) | faces.from_end
    onward = faces.onward.tolist()
    for first in np.flatnonzero(~seen)[np.argsort(faces.corner[~seen], kind="stable")].tolist():
        half = first
        while not seen[half]:
            seen[half] = True
            yield half
            half = onward[half]


def _fewer(sizes: Indices) -> Indices:
    """Return how many points lie inside rings of so many."""
    return np.where(sizes <= SMALL, np.minimum(sizes, 1), -(-sizes // 2))


def _seats(ring: _Ring, wanted: Indices) -> tuple[Indices, Indices]:
    """Return which of so many points inside rings each outer one meets, before it and after it."""
    sizes = ring.sizes(len(wanted))
    rank = np.arange(len(ring.face)) - (np.cumsum(sizes) - sizes)[ring.face]
    first = (np.cumsum(wanted) - wanted)[ring.face]
    size, inner = sizes[ring.face], wanted[ring.face]
    step = np.where(inner > 1, -(-size // inner), size)
    return first + (rank - 1) % size // step, first + rank // step


def _means(values: Points, group: Indices, groups: int) -> Points:
    """Return the mean of the values in each group."""
    total = np.stack([np.bincount(group, values[:, k], groups) for k in (0, 1)], axis=1)
    return total / np.maximum(np.bincount(group, minlength=groups), 1)[:, None]

"""Maps in the plane, given by the order of edges round each of their corners.

References
----------
.. J. Edmonds, "A combinatorial representation for polyhedral surfaces", Notices of the American
   Mathematical Society 7 (1960) 646
"""

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

Indices = NDArray[np.int64]


def next_in_group(group: Indices) -> Indices:
    """Return for each entry of sorted groups the next one, after the last the first."""
    first = np.flatnonzero(np.diff(group, prepend=-1))
    following = np.arange(1, len(group) + 1)
    following[np.append(first[1:], len(group)) - 1] = first
    return following


def cycles(following: Indices) -> Indices:
    """Return which cycle of a permutation each entry is in, numbered from 0."""
    return pieces(np.arange(len(following)), following, len(following))


def lies_flat(corner: Indices, twin: Indices, clockwise: Indices) -> bool:
    """Tell whether a map can be drawn in the plane: Euler's formula, for each of its parts.

    Parameters
    ----------
    corner
        (H,) where each half-edge begins.
    twin, clockwise
        (H,) the other half of its edge, and the next one round its corner.
    """
    _, corner = np.unique(corner, return_inverse=True)
    corners = int(corner.max()) + 1
    faces = int(cycles(clockwise[twin]).max()) + 1
    parts = int(pieces(corner, corner[twin], corners).max()) + 1
    # Each part has a face of its own that goes round it.
    return corners - len(corner) // 2 + faces == 2 * parts


def pieces(one: Indices, other: Indices, count: int) -> Indices:
    """Return which piece each of so many things is in, where these are joined to those."""
    graph = coo_array((np.ones(len(one)), (one, other)), shape=(count, count))
    return np.asarray(connected_components(graph, directed=False)[1], np.int64)

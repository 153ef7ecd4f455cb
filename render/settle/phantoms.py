"""Find every place where pieces of thread cross."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


# Pieces shorter than this share of the longest are compared apart.
TINY = 0.1
# Long pieces are cut into no more parts than this for each piece there is.
MOST_PARTS = 3


@dataclass(frozen=True, eq=False)
class Meetings:
    """Where straight pieces cross.

    Attributes
    ----------
    first, second
        (M,) the crossing pieces, by the number of the point they begin at; first < second.
    share
        (M, 2) how far along each piece, 0 to 1.
    at
        (M, 2) in mm.
    """

    first: Indices
    second: Indices
    share: Points
    at: Points


def find_meetings(
    points: Points,
    starts: Indices,
    name: Indices | None = None,
    only: NDArray[np.bool_] | None = None,
) -> Meetings:
    """Find all crossings of the straight pieces of polylines.

    Parameters
    ----------
    points
        (P, 2) in mm, one polyline after another.
    starts
        (T + 1,) offsets into `points`.
    name
        (P,) points that share a name are one and the same: pieces that meet in it do not cross
        there. None where all points are their own.
    only
        (P,) points whose pieces are looked at; None for all.
    """
    names = np.zeros(0, np.int64) if name is None else name
    running = np.ones(len(points), bool)
    running[starts[1:] - 1] = False
    if only is not None:
        running &= only
    piece = np.flatnonzero(running)
    a, b = _close(points, piece)
    apart = np.abs(a - b) != 1
    a, b = a[apart], b[apart]
    if name is not None:
        c, d = names[a], names[b]
        e, f = names[a + 1], names[b + 1]
        apart = (c != d) & (c != f) & (e != d) & (e != f)
        a, b = a[apart], b[apart]
    return _crossing(points, a, b)


def _close(points: Points, piece: Indices) -> tuple[Indices, Indices]:
    """Return pieces that may cross, each pair once."""
    if len(piece) < 2:
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    run = points[piece + 1] - points[piece]
    length = np.hypot(*run.T)
    # Where most pieces are tiny the others are not cut as small, or their parts would be too many.
    step = max(1.5 * float(np.median(length)), float(length.mean()) / MOST_PARTS, 1e-6)
    parts = np.maximum(np.ceil(length / step), 1).astype(np.int64)
    owner = np.repeat(np.arange(len(piece)), parts)
    rank = np.arange(len(owner)) - np.repeat(np.cumsum(parts) - parts, parts)
    middle = points[piece[owner]] + ((rank + 0.5) / parts[owner])[:, None] * run[owner]
    one, other = _near(middle, (length / parts)[owner])
    first, second = owner[one], owner[other]
    low, high = np.minimum(first, second), np.maximum(first, second)
    keep = low < high
    low, high = low[keep], high[keep]
    if len(owner) > len(piece):
        key = distinct(low * len(piece) + high)
        low, high = key // len(piece), key % len(piece)
    return piece[low], piece[high]


def _near(middle: Points, length: NDArray[np.float64]) -> tuple[Indices, Indices]:
    """Return pairs of short pieces whose middles are no further apart than crossing ones can be.

    The shortest are compared among themselves apart: where threads crowd they are many, and each
    would find all of its neighbours within the length of a usual piece.
    """
    reach = float(length.max()) * (1 + 1e-9)
    tiny = length < TINY * reach
    if tiny.sum() < 2:
        pairs = cKDTree(middle).query_pairs(reach, output_type="ndarray")
        return pairs[:, 0], pairs[:, 1]
    small, large = np.flatnonzero(tiny), np.flatnonzero(~tiny)
    trees = cKDTree(middle[small]), cKDTree(middle[large])
    one, other = _near(middle[small], length[small])
    usual = large[trees[1].query_pairs(reach, output_type="ndarray")]
    mixed = trees[0].sparse_distance_matrix(trees[1], reach, output_type="ndarray")
    return (
        np.concatenate([small[one], usual[:, 0], small[mixed["i"]]]),
        np.concatenate([small[other], usual[:, 1], large[mixed["j"]]]),
    )


def distinct(keys: Indices) -> Indices:
    """Return the sorted distinct keys; for many keys faster than numpy's own by hashing."""
    ordered = np.sort(keys)
    new = np.ones(len(ordered), bool)
    new[1:] = ordered[1:] != ordered[:-1]
    return np.asarray(ordered[new])


def _crossing(points: Points, a: Indices, b: Indices) -> Meetings:
    """Keep the pairs of pieces that do cross."""
    p, q = points[a], points[b]
    r, s = points[a + 1] - p, points[b + 1] - q
    cross = r[:, 0] * s[:, 1] - r[:, 1] * s[:, 0]
    gap = q - p
    safe = np.where(cross == 0, 1.0, cross)
    t = (gap[:, 0] * s[:, 1] - gap[:, 1] * s[:, 0]) / safe
    u = (gap[:, 0] * r[:, 1] - gap[:, 1] * r[:, 0]) / safe
    # Half-open pieces: a crossing in a shared end counts once.
    hit = (cross != 0) & (t >= 0) & (t < 1) & (u >= 0) & (u < 1)
    share = np.stack([t[hit], u[hit]], axis=1)
    return Meetings(a[hit], b[hit], share, p[hit] + share[:, :1] * r[hit])

"""Whether an outline crosses itself."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Rows = NDArray[np.int64]

PAIRS_AT_ONCE = 1_000_000
ROUNDING = 1e-12


def first_crossing(contours: Sequence[Points]) -> Points | None:
    """Find a spot where the contours of a shape cross or touch themselves or each other.

    Parameters
    ----------
    contours
        Closed, each (n, 2), no point repeated in a row.

    Returns
    -------
    (2,) the spot, None where there is none.

    Notes
    -----
    A sweep from left to right: only pieces whose ranges of x overlap are compared.
    """
    a = np.concatenate([np.asarray(contour) for contour in contours])
    b = np.concatenate([np.roll(contour, -1, axis=0) for contour in contours])
    starts = np.cumsum([0, *(len(contour) for contour in contours)])
    after = np.arange(1, len(a) + 1)
    after[starts[1:] - 1] = starts[:-1]
    spikes = _spikes(a, b, after)
    if len(spikes):
        return np.asarray(b[spikes[0]])
    for i, j in _overlapping(a, b):
        apart = (after[i] != j) & (after[j] != i)
        i, j = i[apart], j[apart]
        met = np.flatnonzero(_meet(a[i], b[i], a[j], b[j]))
        if len(met):
            return _spot(a[i[met[0]]], b[i[met[0]]], a[j[met[0]]], b[j[met[0]]])
    return None


def _spikes(a: Points, b: Points, after: Rows) -> Rows:
    """Return the pieces after which the outline turns straight back."""
    run, following = b - a, (b - a)[after]
    turn = run[:, 0] * following[:, 1] - run[:, 1] * following[:, 0]
    along = (run * following).sum(axis=1)
    return np.flatnonzero((np.abs(turn) <= ROUNDING * np.abs(along)) & (along < 0))


def _overlapping(a: Points, b: Points) -> Iterator[tuple[Rows, Rows]]:
    """Yield pairs of pieces whose boxes overlap, a block at a time."""
    low, high = np.minimum(a, b), np.maximum(a, b)
    order = np.argsort(low[:, 0], kind="stable")
    ends = np.searchsorted(low[order, 0], high[order, 0], side="right")
    counts = ends - np.arange(len(order)) - 1
    total = np.cumsum(counts)
    begin = 0
    while begin < len(order):
        done = total[begin - 1] if begin else 0
        end = max(int(np.searchsorted(total, done + PAIRS_AT_ONCE, side="right")), begin + 1)
        block = counts[begin:end]
        first = np.repeat(np.arange(begin, end), block)
        step = np.arange(block.sum()) - np.repeat(np.cumsum(block) - block, block)
        i, j = order[first], order[first + 1 + step]
        meets = (low[i, 1] <= high[j, 1]) & (low[j, 1] <= high[i, 1])
        yield i[meets], j[meets]
        begin = end


def _meet(a: Points, b: Points, c: Points, d: Points) -> NDArray[np.bool_]:
    """Tell which pieces a-b and c-d, whose boxes overlap, have a point in common."""
    scale = ROUNDING * (np.abs(b - a).sum(axis=1) + np.abs(d - c).sum(axis=1)) ** 2
    sides = [_side(a, b, c), _side(a, b, d), _side(c, d, a), _side(c, d, b)]
    first, second, third, fourth = (np.where(np.abs(s) <= scale, 0.0, s) for s in sides)
    return np.asarray((first * second <= 0) & (third * fourth <= 0))


def _side(a: Points, b: Points, c: Points) -> NDArray[np.float64]:
    """Return twice the signed area of the triangle a, b, c."""
    run, offset = b - a, c - a
    return np.asarray(run[:, 0] * offset[:, 1] - run[:, 1] * offset[:, 0])


def _spot(a: Points, b: Points, c: Points, d: Points) -> Points:
    """Return where two pieces that meet do so; the middle of what they share where they overlap."""
    run, other = b - a, d - c
    across = run[0] * other[1] - run[1] * other[0]
    if abs(across) > ROUNDING * np.abs(run).sum() * np.abs(other).sum():
        offset = c - a
        return np.asarray(a + run * (offset[0] * other[1] - offset[1] * other[0]) / across)
    ends = np.stack([a, b, c, d])
    return np.asarray(ends[np.argsort(ends @ run, kind="stable")[1:3]].mean(axis=0))

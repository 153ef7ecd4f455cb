"""Turn pieces of thread into keys for the pixels they touch.

A key has 64 bits: the height of the fragment in its upper half and the number of the piece in its
lower half, so that the nearest fragment is the largest key. Heights are positive floats, whose
bits sort as whole numbers do: keys need neither rounding nor sorting.

References
----------
.. C. Burns, W. Hunt, "The visibility buffer: a cache-friendly approach to deferred shading",
   Journal of Computer Graphics Techniques 2 (2013) 55-69
"""

import numpy as np
from numpy.typing import NDArray

from render.shade.batch import Batch, Strip
from render.shade.pieces import Floats

_FAR = np.float32(1e6)
_HALF = np.float32(0.5)


def fragments(
    b: Batch, chosen: NDArray[np.int64], strip: Strip
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the pixels that some pieces touch and the keys they would leave there."""
    p, row, low, count = _spans(b, chosen, strip)
    # Along a row of pixels everything but the root changes in equal steps.
    dx = as_floats(low) + (_HALF - b.right.take(p))
    dy = as_floats(row - b.row.take(p)) + (_HALF - b.down.take(p))
    cx, cy, stretch = b.chord_x.take(p), b.chord_y.take(p), b.stretch.take(p)
    root = np.sqrt(stretch)
    side, side_step = (cx * dy - cy * dx) * root, -cy * root
    height = b.height.take(p) - np.float32(b.base) + (cx * dx + cy * dy) * b.rise.take(p)
    place = row * strip.columns + b.column.take(p) + low
    start = np.cumsum(count) - count
    pixel = np.arange(count.sum()) + np.repeat(place - start, count)
    k = (pixel - np.repeat(place, count)).astype(np.float32)
    v = np.repeat(side, count) + np.repeat(side_step, count) * k
    z = np.repeat(b.radius.take(p) ** 2 * stretch, count) - v * v
    np.maximum(z, 0, out=z)
    np.sqrt(z, out=z)
    z += np.repeat(height, count)
    z += np.repeat(cx * b.rise.take(p), count) * k
    key = np.empty((len(pixel), 2), "<i4")
    key[:, 0] = np.repeat(p, count)
    key[:, 1] = z.astype("<f4", copy=False).view("<i4")
    return pixel, key.view("<i8")[:, 0]


def _spans(
    b: Batch, chosen: NDArray[np.int64], strip: Strip
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Return piece, row, first column (from the piece's own) and length of each run of pixels.

    A pixel belongs to a piece if its centre lies within half a pixel of the tube and between the
    two lines that halve the angles with the pieces before and after. Where two pieces meet both
    use the same numbers, so that each pixel belongs to exactly one of them.
    """
    height = np.maximum(b.high[chosen] - b.low[chosen] + 1, 0)
    p = np.repeat(chosen, height)
    before = np.cumsum(height) - height
    row = np.arange(len(p)) + np.repeat(b.low[chosen] - before, height)
    cx, cy = b.chord_x.take(p), _not_zero(b.chord_y.take(p))
    dy = as_floats(row - b.row.take(p)) + (_HALF - b.down.take(p))
    middle = cx / cy * dy + b.right.take(p) - _HALF
    reach = b.reach.take(p) / np.abs(cy)
    low, high = np.ceil(middle - reach), np.floor(middle + reach)

    tx = _not_zero(b.start_x.take(p))
    line = b.right.take(p) - _HALF - (dy * b.start_y.take(p) + b.start_slack.take(p)) / tx
    low = np.maximum(low, np.where(tx > 0, np.ceil(line), -_FAR))
    high = np.minimum(high, np.where(tx > 0, _FAR, np.floor(line)))

    tx = _not_zero(b.end_x.take(p))
    dy = as_floats(row - b.end_row.take(p)) + (_HALF - b.end_down.take(p))
    line = b.end_right.take(p) - _HALF - (dy * b.end_y.take(p) - b.end_slack.take(p)) / tx
    ahead = as_floats(b.end_column.take(p))
    high = np.minimum(high, np.where(tx > 0, np.ceil(line) - 1 + ahead, _FAR))
    low = np.maximum(low, np.where(tx > 0, -_FAR, np.floor(line) + 1 + ahead))

    left = as_floats(b.column.take(p))
    low = np.maximum(low, -left)
    high = np.minimum(high, np.float32(strip.columns - 1) - left)
    some = np.flatnonzero(high >= low)
    first = low[some].astype(np.int64)
    count = high[some].astype(np.int64) - first + 1
    return p[some], row[some], first, count


def as_floats(x: NDArray[np.integer]) -> Floats:
    """Return whole numbers as the floats that all distances are kept in."""
    return x.astype(np.float32)


def _not_zero(x: Floats) -> Floats:
    return np.where(np.abs(x) < 1e-6, np.float32(1e-6), x)

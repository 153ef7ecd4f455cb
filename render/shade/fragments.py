"""Find which thread each pixel sees: pieces into fragments, fragments into layers.

Every pixel keeps one 64-bit key, the height of the fragment in its upper half and the number of the
piece in its lower half; the nearest fragment is the largest key. Heights are positive floats,
whose bits sort as whole numbers do, so that keys need neither rounding nor sorting.

References
----------
.. C. Burns, W. Hunt, "The visibility buffer: a cache-friendly approach to deferred shading",
   Journal of Computer Graphics Techniques 2 (2013) 55-69
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.shade.pieces import Floats, Ints, Pieces
from render.shade.twist import Outline

# Pieces worked on at a time: their fragments stay within the processor's cache.
_CHUNK = 6000
_FAR = np.float32(1e6)
_HALF, _NONE = np.float32(0.5), np.float32(0)
# More than this much of a pixel is as good as all of it.
_FULL = np.float32(0.998)
# Layers kept where the nearer ones leave part of a pixel open.
LAYERS = 3


@dataclass(frozen=True, eq=False)
class Strip:
    """The rows of pixels that are worked on together.

    Attributes
    ----------
    top, left
        Row and column of the view its first pixel is.
    rows, columns
        Its size in pixels.
    """

    top: int
    left: int
    rows: int
    columns: int


@dataclass(frozen=True, eq=False)
class Batch:
    """The pieces a strip can see, each with what is needed to draw it (all (B,)).

    Columns and rows are whole pixels of the strip, the rest as in `Vertices`; `chord_x` and
    `chord_y` are the unit direction of the piece, `rise` its height gained per pixel, `stretch` by
    how much that lengthens the tube's cut along the line of sight, squared.
    """

    column: Ints
    row: Ints
    right: Floats
    down: Floats
    height: Floats
    chord_x: Floats
    chord_y: Floats
    rise: Floats
    stretch: Floats
    radius: Floats
    start_x: Floats
    start_y: Floats
    end_x: Floats
    end_y: Floats
    across: Floats
    below: Floats
    end_column: Ints
    end_row: Ints
    end_right: Floats
    end_down: Floats
    start_slack: Floats
    end_slack: Floats
    turn: Floats
    turns: Floats
    swell: Floats
    reach: Floats
    made_of: NDArray[np.int64]
    low: Ints
    high: Ints
    piece: NDArray[np.int64]
    base: float


@dataclass(frozen=True, eq=False)
class Layer:
    """The nearest fragments of a strip, at most one a pixel, those behind a nearer layer.

    Attributes
    ----------
    pixel
        (F,) place in the strip, row by row, increasing.
    piece
        (F,) number of the piece in its `Batch`.
    height
        (F,) pixels towards the viewer.
    side
        (F,) distance from the thread's middle line in pixels, positive to its right.
    ahead
        (F,) place along the piece, 0 to 1.
    radius
        (F,) half width of the thread there, on this side.
    turn
        (F,) place in the tables of the thread's material, 0 to 1.
    cover
        (F,) part of the pixel the thread covers.
    centre
        (F,) whether the thread covers the pixel's centre and nothing shines through it.
    """

    pixel: NDArray[np.int64]
    piece: Ints
    height: Floats
    side: Floats
    ahead: Floats
    radius: Floats
    turn: Floats
    cover: Floats
    centre: NDArray[np.bool_]


def batch(pieces: Pieces, strip: Strip, outline: Outline) -> Batch:
    """Gather the pieces that can touch a strip."""
    reaches = (pieces.reach_down >= strip.top) & (pieces.reach_up < strip.top + strip.rows)
    chosen = np.flatnonzero(reaches)
    start, end = (pieces.vertices.take(pieces.first[chosen] + one) for one in (0, 1))
    radius = pieces.radius[start.thread]
    step_x = (end.column - start.column) + (end.right - start.right)
    margin = 2 * radius + 2
    inside = (np.maximum(start.column, end.column) + margin >= strip.left) & (
        np.minimum(start.column, end.column) - margin <= strip.left + strip.columns
    )
    if not inside.all():
        keep = np.flatnonzero(inside)
        chosen, start, end = chosen[keep], start.take(keep), end.take(keep)
        radius, step_x = radius[keep], step_x[keep]
    step_y = (end.row - start.row) + (end.down - start.down)
    size = np.maximum(np.sqrt(step_x**2 + step_y**2), np.float32(1e-6))
    chord_x, chord_y = step_x / size, step_y / size
    rise = np.clip((end.height - start.height) / size, -1, 1)
    free, loose = pieces.free_start[chosen], pieces.free_end[chosen]
    turn = start.turn - np.floor(start.turn)
    swell = outline.strength[start.thread]
    return Batch(
        column=start.column - np.int32(strip.left),
        row=start.row - np.int32(strip.top),
        right=start.right,
        down=start.down,
        height=start.height,
        chord_x=chord_x,
        chord_y=chord_y,
        rise=rise,
        stretch=1 + rise * rise,
        radius=radius,
        start_x=np.where(free, chord_x, start.along_x),
        start_y=np.where(free, chord_y, start.along_y),
        end_x=np.where(loose, chord_x, end.along_x),
        end_y=np.where(loose, chord_y, end.along_y),
        across=step_x,
        below=step_y,
        end_column=end.column - start.column,
        end_row=end.row - np.int32(strip.top),
        end_right=end.right,
        end_down=end.down,
        start_slack=np.where(free, _HALF, _NONE),
        end_slack=np.where(loose, _HALF, _NONE),
        turn=turn.astype(np.float32),
        turns=(end.turn - start.turn).astype(np.float32),
        swell=swell,
        reach=radius * (1 + swell * (np.float32(outline.widest) - 1)) + _HALF,
        made_of=outline.made_of[start.thread],
        low=np.maximum(pieces.reach_up[chosen] - np.int32(strip.top), 0),
        high=np.minimum(pieces.reach_down[chosen] - np.int32(strip.top), strip.rows - 1),
        piece=chosen,
        base=pieces.floor,
    )


def layers(pieces: Pieces, seen: Batch, strip: Strip, outline: Outline) -> list[Layer]:
    """Return what a strip sees, nearest first.

    The first layer holds the nearest fragment of every pixel, each further one the next behind it
    where the pixel is not yet full.
    """
    chunks = [
        _fragments(seen, np.arange(at, min(at + _CHUNK, len(seen.piece))), strip)
        for at in range(0, len(seen.piece), _CHUNK)
    ]
    size = strip.rows * strip.columns
    found: list[Layer] = []
    nearest = np.zeros(size, np.int64)
    for pixel, key in chunks:
        np.maximum.at(nearest, pixel, key)
    pixel = np.flatnonzero(nearest)
    open_ = np.ones(len(pixel), np.float32)
    while True:
        layer = _decode(pieces, seen, strip, outline, pixel, nearest[pixel])
        found.append(layer)
        open_ = open_ * (1 - layer.cover)
        if len(found) == LAYERS:
            return found
        left = np.flatnonzero(open_ > 1 - _FULL)
        pixel, open_ = pixel[left], open_[left]
        limit = np.zeros(size, np.int64)
        limit[pixel] = nearest[pixel]
        nearest = np.zeros(size, np.int64)
        for place, key in chunks:
            behind = np.flatnonzero(key < limit[place])
            np.maximum.at(nearest, place[behind], key[behind])
        some = np.flatnonzero(nearest[pixel])
        pixel, open_ = pixel[some], open_[some]
        if len(pixel) == 0:
            return found


def _fragments(
    b: Batch, chosen: NDArray[np.int64], strip: Strip
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the pixels that some pieces touch and the keys they would leave there."""
    spans = _spans(b, chosen, strip)
    p, row, low, count = spans
    # Along a row of pixels everything but the root changes in equal steps.
    dx = low + np.float32(0.5) - b.right[p]
    dy = (row - b.row[p]) + (np.float32(0.5) - b.down[p])
    cx, cy, stretch = b.chord_x[p], b.chord_y[p], b.stretch[p]
    root = np.sqrt(stretch)
    side, side_step = (cx * dy - cy * dx) * root, -cy * root
    height = b.height[p] - np.float32(b.base) + (cx * dx + cy * dy) * b.rise[p]
    place = row * strip.columns + b.column[p] + low
    start = np.cumsum(count) - count
    pixel = np.arange(count.sum()) + np.repeat(place - start, count)
    k = (pixel - np.repeat(place, count)).astype(np.float32)
    v = np.repeat(side, count) + np.repeat(side_step, count) * k
    z = np.repeat(b.radius[p] ** 2 * stretch, count) - v * v
    np.maximum(z, 0, out=z)
    np.sqrt(z, out=z)
    z += np.repeat(height, count)
    z += np.repeat(cx * b.rise[p], count) * k
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
    cx, cy = b.chord_x[p], _not_zero(b.chord_y[p])
    dy = _float(row - b.row[p]) + (_HALF - b.down[p])
    middle = cx / cy * dy + b.right[p] - _HALF
    reach = b.reach[p] / np.abs(cy)
    low, high = np.ceil(middle - reach), np.floor(middle + reach)

    tx = _not_zero(b.start_x[p])
    line = b.right[p] - _HALF - (dy * b.start_y[p] + b.start_slack[p]) / tx
    low = np.maximum(low, np.where(tx > 0, np.ceil(line), -_FAR))
    high = np.minimum(high, np.where(tx > 0, _FAR, np.floor(line)))

    tx = _not_zero(b.end_x[p])
    dy = _float(row - b.end_row[p]) + (_HALF - b.end_down[p])
    line = b.end_right[p] - _HALF - (dy * b.end_y[p] - b.end_slack[p]) / tx
    ahead = _float(b.end_column[p])
    high = np.minimum(high, np.where(tx > 0, np.ceil(line) - 1 + ahead, _FAR))
    low = np.maximum(low, np.where(tx > 0, -_FAR, np.floor(line) + 1 + ahead))

    left = _float(b.column[p])
    low = np.maximum(low, -left)
    high = np.minimum(high, np.float32(strip.columns - 1) - left)
    some = np.flatnonzero(high >= low)
    first = low[some].astype(np.int64)
    count = high[some].astype(np.int64) - first + 1
    return p[some], row[some], first, count


def _float(x: NDArray[np.integer]) -> Floats:
    return x.astype(np.float32)


def _not_zero(x: Floats) -> Floats:
    return np.where(np.abs(x) < 1e-6, np.float32(1e-6), x)


def _decode(
    pieces: Pieces,
    b: Batch,
    strip: Strip,
    outline: Outline,
    pixel: NDArray[np.int64],
    key: NDArray[np.int64],
) -> Layer:
    """Find place across and along the thread, and coverage, from the keys that won."""
    halves = key.astype("<i8", copy=False).view("<i4").reshape(-1, 2)
    p = halves[:, 0].copy()
    height = halves[:, 1].copy().view("<f4") + np.float32(b.base)
    row = pixel // strip.columns
    dx = _float(pixel - row * strip.columns - b.column[p]) + (_HALF - b.right[p])
    dy = _float(row - b.row[p]) + (_HALF - b.down[p])
    side = b.chord_x[p] * dy - b.chord_y[p] * dx
    behind = dx * b.start_x[p] + dy * b.start_y[p]
    before = (b.across[p] - dx) * b.end_x[p] + (b.below[p] - dy) * b.end_y[p]
    ahead = np.clip(behind / np.maximum(behind + before, np.float32(1e-6)), 0, 1)
    turn = b.turn[p] + b.turns[p] * ahead
    turn -= np.floor(turn)
    r = b.radius[p] * (1 + b.swell[p] * _swell(outline, b.made_of[p], turn, side))
    # Measured along rows or columns, whichever the thread crosses more squarely, coverage adds up
    # to the thread's width exactly, at any angle.
    pixel_half = _HALF * np.maximum(np.abs(b.chord_x), np.abs(b.chord_y))[p]
    cover = np.minimum(side + pixel_half, r) - np.maximum(side - pixel_half, -r)
    cover /= 2 * pixel_half
    np.clip(cover, 0, 1, out=cover)
    solid = outline.solid[b.made_of[p]]
    centre = (np.abs(side) <= r) & (solid == 1)
    free, loose = pieces.free_start[b.piece], pieces.free_end[b.piece]
    for flag, distance in ((free, behind), (loose, before)):
        end = np.flatnonzero(flag[p])
        cover[end] *= np.clip(distance[end] + _HALF, 0, 1)
        centre[end] &= distance[end] >= 0
    return Layer(pixel, p, height, side, ahead, r, turn, cover * solid, centre)


def _swell(outline: Outline, made_of: NDArray[np.int64], turn: Floats, side: Floats) -> Floats:
    """Return how much wider than its radius a thread is on the side that is seen."""
    rows = outline.rows[made_of]
    row = np.minimum((turn * rows).astype(np.int64), rows - 1) + outline.first[made_of]
    return np.where(side < 0, outline.left[row], outline.right[row])

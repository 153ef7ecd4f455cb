"""Which thread each pixel sees, and which ones behind it."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from render.shade.batch import Batch, Strip
from render.shade.fragments import as_floats, fragments
from render.shade.pieces import Floats
from render.shade.twist import Outline

# Pieces worked on at a time: their fragments stay within the processor's cache.
_CHUNK = 6000
# Fragments worked on at a time, for the same reason.
BLOCK = 32768
_HALF = np.float32(0.5)
# More than this much of a pixel is as good as all of it.
_FULL = np.float32(0.998)
# Layers kept where the nearer ones leave part of a pixel open.
LAYERS = 3


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
    across
        (F,) place across the thread of the middle of what it covers of the pixel, -1 to 1.
    ahead
        (F,) place along the piece, 0 to 1.
    radius
        (F,) half width of the thread there, on this side.
    turn
        (F,) place in the tables of the thread's material, 0 to 1.
    cover
        (F,) part of the pixel the thread covers.
    share
        (F,) part of the pixel it is seen in, past the nearer layers.
    centre
        (F,) whether the thread covers the pixel's centre and nothing shines through it.
    """

    pixel: NDArray[np.int64]
    piece: NDArray[np.int64]
    height: Floats
    side: Floats
    across: Floats
    ahead: Floats
    radius: Floats
    turn: Floats
    cover: Floats
    share: Floats
    centre: NDArray[np.bool_]

    def part(self, chosen: slice) -> "Layer":
        """Return some of the fragments."""
        return Layer(*(getattr(self, f.name)[chosen] for f in fields(Layer)))

    def blocks(self) -> Iterator["Layer"]:
        """Yield the fragments in parts that the processor's cache can hold."""
        for at in range(0, len(self.pixel), BLOCK):
            yield self.part(slice(at, at + BLOCK))


def layers(seen: Batch, strip: Strip, outline: Outline) -> list[Layer]:
    """Return what a strip sees, nearest first.

    The first layer holds the nearest fragment of every pixel, each further one the next behind it
    where the pixel is not yet full.
    """
    chunks = [
        fragments(seen, np.arange(at, min(at + _CHUNK, len(seen.thread))), strip)
        for at in range(0, len(seen.thread), _CHUNK)
    ]
    size = strip.rows * strip.columns
    found: list[Layer] = []
    nearest = np.zeros(size, np.int64)
    for pixel, key in chunks:
        np.maximum.at(nearest, pixel, key)
    pixel = np.flatnonzero(nearest)
    open_ = np.ones(len(pixel), np.float32)
    front: tuple[Floats, ...] = ()
    while True:
        layer = _joined(
            _decode(seen, strip, outline, some, nearest[some])
            for some in np.array_split(pixel, max(1, len(pixel) // BLOCK))
        )
        edge = (layer.cover, *_edge(layer, seen))
        share = _past(front, edge) if len(found) == 1 else open_ * layer.cover
        found.append(replace(layer, share=share))
        open_ = open_ - share
        if len(found) == LAYERS:
            return found
        left = np.flatnonzero(open_ > 1 - _FULL)
        pixel, open_ = pixel[left], open_[left]
        limit = np.zeros(size, np.int64)
        limit[pixel] = nearest[pixel]
        nearest = np.zeros(size, np.int64)
        chunks = [_behind(place, key, limit) for place, key in chunks]
        for place, key in chunks:
            np.maximum.at(nearest, place, key)
        some = np.flatnonzero(nearest[pixel])
        pixel, open_ = pixel[some], open_[some]
        front = tuple(values[left[some]] for values in edge)
        if len(pixel) == 0:
            return found


def _behind(
    pixel: NDArray[np.int64], key: NDArray[np.int64], limit: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the fragments that lie behind what is already seen."""
    behind = np.flatnonzero(key < limit[pixel])
    return pixel[behind], key[behind]


def _edge(layer: Layer, seen: Batch) -> tuple[Floats, Floats]:
    """Return which way edges face, right and down; 0, 0 where a pixel has no edge or two."""
    one = (layer.cover < 1) & (layer.radius > _HALF)
    way = np.sign(layer.side) * one
    return -seen.chord_y.take(layer.piece) * way, seen.chord_x.take(layer.piece) * way


def _past(front: tuple[Floats, ...], edge: tuple[Floats, ...]) -> Floats:
    """Return the part of a pixel in which a second thread is seen past the nearest one.

    Edges that cross leave each other their part of what is left. Threads that lie side by side
    fill the pixel between them, and of two edges one over the other only what stands out is seen.
    """
    (near, near_x, near_y), (cover, x, y) = front, edge
    alike = near_x * x + near_y * y
    crossing = (1 - near) * cover
    beside, stacked = np.minimum(cover, 1 - near), np.maximum(cover - near, 0)
    parallel: Floats = np.where(alike < 0, beside, stacked)
    return np.asarray(crossing + np.abs(alike) * (parallel - crossing), np.float32)


def _decode(
    b: Batch,
    strip: Strip,
    outline: Outline,
    pixel: NDArray[np.int64],
    key: NDArray[np.int64],
) -> Layer:
    """Find place across and along the thread, and coverage, from the keys that won."""
    halves = key.astype("<i8", copy=False).view("<i4").reshape(-1, 2)
    p = halves[:, 0].astype(np.intp)
    height = halves[:, 1].copy().view("<f4") + np.float32(b.base)
    row = pixel // strip.columns
    dx = as_floats(pixel - row * strip.columns - b.column.take(p)) + (_HALF - b.right.take(p))
    dy = as_floats(row - b.row.take(p)) + (_HALF - b.down.take(p))
    side = b.chord_x.take(p) * dy - b.chord_y.take(p) * dx
    behind = dx * b.start_x.take(p) + dy * b.start_y.take(p)
    before = (b.across.take(p) - dx) * b.end_x.take(p) + (b.below.take(p) - dy) * b.end_y.take(p)
    ahead: Floats = np.divide(behind, np.maximum(behind + before, np.float32(1e-6)))
    np.clip(ahead, 0, 1, out=ahead)
    turn = b.turn.take(p) + b.turns.take(p) * ahead
    turn -= np.floor(turn)
    # Of one material there is nothing to look up for each.
    made_of = b.made_of.take(p) if len(outline.rows) > 1 else np.zeros(1, np.int64)
    r = b.radius.take(p) * (1 + b.swell.take(p) * _swell(outline, made_of, turn, side))
    # Measured along rows or columns, whichever the thread crosses more squarely, coverage adds up
    # to the thread's width exactly, at any angle.
    pixel_half = _HALF * np.maximum(np.abs(b.chord_x), np.abs(b.chord_y)).take(p)
    right, left = np.minimum(side + pixel_half, r), np.maximum(side - pixel_half, -r)
    cover = (right - left) / (2 * pixel_half)
    across: Floats = np.divide(right + left, np.maximum(2 * r, np.float32(1e-6)))
    np.clip(across, -1, 1, out=across)
    np.clip(cover, 0, 1, out=cover)
    solid = outline.solid[made_of]
    centre = (np.abs(side) <= r) & (solid == 1)
    for free, distance in ((b.free_start, behind), (b.free_end, before)):
        end = np.flatnonzero(free.take(p))
        cover[end] *= np.clip(distance[end] + _HALF, 0, 1)
        centre[end] &= distance[end] >= 0
    cover *= solid
    return Layer(pixel, p, height, side, across, ahead, r, turn, cover, cover, centre)


def _joined(parts: Iterable[Layer]) -> Layer:
    parts = list(parts)
    return Layer(*(np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(Layer)))


def _swell(outline: Outline, made_of: NDArray[np.int64], turn: Floats, side: Floats) -> Floats:
    """Return how much wider than its radius a thread is on the side that is seen."""
    rows = outline.rows[made_of]
    row = np.minimum((turn * as_floats(rows)).astype(np.int64), rows - 1) + outline.first[made_of]
    return outline.sides.take(2 * row + (side >= 0))

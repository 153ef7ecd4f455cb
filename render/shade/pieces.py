"""Cut threads into the short straight pieces that are drawn, in pixels of a view."""

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from render.shade.lines import Lines, lines
from render.shade.view import View
from render.threads.model import ThreadPaths

Floats = NDArray[np.float32]
Ints = NDArray[np.int32]

# A point where a thread still turns back on itself ends one piece and starts another, flat.
_HAIRPIN = 0.6
# No wavering outline swells beyond this part of the radius.
_WIDEST = 1.2
# Tubes steeper than 45 degrees would reach far out of themselves along the line of sight.
_STEEPEST = 1.0


@dataclass(frozen=True, eq=False)
class Vertices:
    """Points along the threads, in pixels, split so that no digits are lost in large pictures.

    Attributes
    ----------
    column, row
        (V,) whole pixels; the point lies at ``column + right`` across and ``row + down`` down.
    right, down
        (V,) fractions of a pixel, 0 to 1.
    height
        (V,) towards the viewer, in pixels.
    along_x, along_y
        (V,) unit direction of the thread seen from above, halving the angle at the point.
    slope
        (V,) rise per pixel of way seen from above.
    turn
        (V,) how often the tables of the thread's material fit into the thread before this point.
    thread
        (V,) number of the thread.
    """

    column: Ints
    row: Ints
    right: Floats
    down: Floats
    height: Floats
    along_x: Floats
    along_y: Floats
    slope: Floats
    turn: NDArray[np.float64]
    thread: Ints

    def take(self, chosen: NDArray[np.int64]) -> "Vertices":
        """Return the chosen points."""
        return Vertices(*(getattr(self, f.name)[chosen] for f in fields(self)))


@dataclass(frozen=True, eq=False)
class Pieces:
    """All pieces of all threads: piece i runs from vertex first[i] to the next one.

    Attributes
    ----------
    vertices
        The points between the pieces.
    first
        (I,) the vertex each piece starts at.
    reach_up, reach_down
        (I,) first and last pixel row a piece can touch.
    radius
        (T,) thread radii in pixels.
    free_start, free_end
        (I,) whether the piece is cut off square there, as at the end of a thread.
    floor
        Height in pixels below which nothing lies, with room to spare.
    """

    vertices: Vertices
    first: NDArray[np.int64]
    reach_up: Ints
    reach_down: Ints
    radius: Floats
    free_start: NDArray[np.bool_]
    free_end: NDArray[np.bool_]
    floor: float


def cut(paths: ThreadPaths, view: View, table_mm: NDArray[np.float64]) -> Pieces:
    """Cut threads into pieces no shorter than half a pixel, where they may be.

    Parameters
    ----------
    paths
        The threads, in mm.
    view
        The grid whose pixels are the unit of length.
    table_mm
        (T,) length of each thread that the tables of its material cover.
    """
    radius = (paths.radius * view.scale).astype(np.float32)
    none = np.zeros(0, np.int64)
    count, parts = 0, [_cut(Lines(np.zeros((0, 4)), none, none), radius, count=0)]
    for found in lines(paths, view, table_mm):
        parts.append(_cut(found, radius, count))
        count += len(found.points)
    columns = [list(column) for column in zip(*parts, strict=True)]
    parts.clear()
    # One after another, so that at no time all of them are held twice.
    joined = [np.concatenate(columns.pop(0)) for _ in range(len(columns))]
    room = 4.0 * float(radius.max(initial=0.0)) + 4.0
    lowest = float(paths.points[:, 2].min(initial=0.0)) * view.scale - room
    own = len(fields(Vertices))
    first, low, high, free_start, free_end = joined[own:]
    return Pieces(Vertices(*joined[:own]), first, low, high, radius, free_start, free_end, lowest)


def _cut(found: Lines, radius: Floats, count: int) -> tuple[NDArray[Any], ...]:
    """Cut some lines: what `Vertices` holds, then `first` to `free_end` of `Pieces` but `radius`.

    Parameters
    ----------
    count
        Points before these.
    """
    points, first, thread = found.points, found.joined, found.thread[found.line]
    vertices = _vertices(points, thread, first)
    lean_start, lean_end = _lean(points, vertices, first)
    ends_before = np.ones(len(first), bool)
    ends_before[1:] = first[1:] != first[:-1] + 1
    free_start = ends_before | (lean_start < _HAIRPIN)
    free_end = np.append(ends_before[1:], np.ones(min(len(first), 1), bool)) | (lean_end < _HAIRPIN)
    lean = np.maximum(np.minimum(lean_start, lean_end), _HAIRPIN)
    low, high = _rows_touched(points[:, 1], first, (_WIDEST * radius[thread[first]] + 0.5) / lean)
    own = (getattr(vertices, field.name) for field in fields(vertices))
    return (*own, first + count, low, high, free_start, free_end)


def _vertices(
    points: NDArray[np.float64],
    thread: NDArray[np.int64],
    first: NDArray[np.int64],
) -> Vertices:
    step = points[first + 1, :3] - points[first, :3]
    size = np.maximum(np.hypot(step[:, 0], step[:, 1]), 1e-6)
    chord = np.column_stack([step[:, :2] / size[:, None], step[:, 2] / size])
    total = np.zeros((len(points), 3))
    share = np.zeros(len(points))
    for end in (first, first + 1):
        total[end] += chord
        share[end] += 1
    along = total[:, :2]
    norm = np.hypot(along[:, 0], along[:, 1])
    along = np.where(norm[:, None] > 1e-6, along / np.maximum(norm, 1e-6)[:, None], (1.0, 0.0))
    whole = np.floor(points[:, :2])
    part = (points[:, :2] - whole).astype(np.float32)
    slope = np.clip(total[:, 2] / np.maximum(share, 1), -_STEEPEST, _STEEPEST)
    return Vertices(
        whole[:, 0].astype(np.int32),
        whole[:, 1].astype(np.int32),
        part[:, 0].copy(),
        part[:, 1].copy(),
        points[:, 2].astype(np.float32),
        along[:, 0].astype(np.float32),
        along[:, 1].astype(np.float32),
        slope.astype(np.float32),
        points[:, 3].copy(),
        thread.astype(np.int32),
    )


def _lean(
    points: NDArray[np.float64], vertices: Vertices, first: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the cosines between each piece and the thread's direction at its two ends."""
    step = points[first + 1, :2] - points[first, :2]
    size = np.maximum(np.hypot(step[:, 0], step[:, 1]), 1e-6)
    start, end = (
        (step[:, 0] * vertices.along_x[at] + step[:, 1] * vertices.along_y[at]) / size
        for at in (first, first + 1)
    )
    return start, end


def _rows_touched(
    down: NDArray[np.float64], first: NDArray[np.int64], reach: NDArray[np.float64]
) -> tuple[Ints, Ints]:
    """Return the first and last row of pixel centres within reach of a piece."""
    here, there = down[first], down[first + 1]
    low = np.ceil(np.minimum(here, there) - reach - 0.5)
    high = np.floor(np.maximum(here, there) + reach - 0.5)
    return low.astype(np.int32), high.astype(np.int32)

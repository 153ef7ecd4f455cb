"""The pieces of thread a strip of pixels can see."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.shade.pieces import Floats, Ints, Pieces
from render.shade.twist import Outline

_HALF, _NONE = np.float32(0.5), np.float32(0)


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

    Lengths are in pixels; whole pixels are counted from the strip's first.

    Attributes
    ----------
    column, row, right, down, height
        Where a piece starts, as in `Vertices`.
    chord_x, chord_y
        Its direction, a unit vector right and down.
    rise
        Height gained per pixel of way.
    stretch
        Square of how much that lengthens the tube's cut along the line of sight.
    radius
        Of its thread.
    start_x, start_y, end_x, end_y
        Directions of the thread at its ends, square to which it is cut off.
    across, below
        Steps from start to end, right and down.
    end_column, end_row, end_right, end_down
        Where it ends; the column is counted from its start's.
    start_slack, end_slack
        How far beyond its ends it is drawn: half a pixel where it is free.
    start_slope, end_slope, bend
        Slopes of the thread at its ends, and their change per pixel.
    free_start, free_end
        Whether no other piece joins on there.
    thread
        Number of the thread.
    turn, turns
        Place in the tables of the material at its start, 0 to 1, and way through them.
    swell
        Strength of the outline's wavering.
    reach
        How far from its middle line it may touch pixel centres.
    made_of
        Index of the material.
    low, high
        First and last row it may touch.
    base
        Height that keys are counted from; one number.
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
    start_slope: Floats
    end_slope: Floats
    bend: Floats
    free_start: NDArray[np.bool_]
    free_end: NDArray[np.bool_]
    thread: Ints
    turn: Floats
    turns: Floats
    swell: Floats
    reach: Floats
    made_of: NDArray[np.int64]
    low: Ints
    high: Ints
    base: float


def batch(pieces: Pieces, strip: Strip, outline: Outline) -> Batch:
    """Gather the pieces that can touch a strip."""
    reaches = (pieces.reach_down >= strip.top) & (pieces.reach_up < strip.top + strip.rows)
    chosen = np.flatnonzero(reaches)
    start, end = (pieces.vertices.take(pieces.first[chosen] + one) for one in (0, 1))
    radius = pieces.radius[start.thread]
    step_x = _apart(end.column, start.column) + (end.right - start.right)
    margin = 2 * radius + 2
    inside = (np.maximum(start.column, end.column) + margin >= strip.left) & (
        np.minimum(start.column, end.column) - margin <= strip.left + strip.columns
    )
    if not inside.all():
        keep = np.flatnonzero(inside)
        chosen, start, end = chosen[keep], start.take(keep), end.take(keep)
        radius, step_x = radius[keep], step_x[keep]
    step_y = _apart(end.row, start.row) + (end.down - start.down)
    size = np.maximum(np.sqrt(step_x**2 + step_y**2), np.float32(1e-6))
    chord_x, chord_y = step_x / size, step_y / size
    rise = np.clip((end.height - start.height) / size, -1, 1)
    free, loose = pieces.free_start[chosen], pieces.free_end[chosen]
    bend = (end.slope - start.slope) / np.maximum(size, np.float32(0.5))
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
        # Over a hump the surface bends less than the middle line.
        stretch=1 + rise * rise / (1 + radius * np.maximum(-bend, 0)),
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
        start_slope=start.slope,
        end_slope=end.slope,
        bend=bend,
        free_start=free,
        free_end=loose,
        thread=start.thread,
        turn=turn.astype(np.float32),
        turns=(end.turn - start.turn).astype(np.float32),
        swell=swell,
        reach=radius * (1 + swell * (np.float32(outline.widest) - 1)) + _HALF,
        made_of=outline.made_of[start.thread],
        low=np.maximum(pieces.reach_up[chosen] - np.int32(strip.top), 0),
        high=np.minimum(pieces.reach_down[chosen] - np.int32(strip.top), strip.rows - 1),
        base=pieces.floor,
    )


def _apart(there: Ints, here: Ints) -> Floats:
    """Return distances in whole pixels as the floats that all else is kept in.

    Of whole numbers and such floats numpy makes floats of twice the size, and of all that is
    reckoned from them.
    """
    return (there - here).astype(np.float32)

"""What a strip looks like as a landscape, and how much light its valleys get."""

from dataclasses import dataclass
from math import atan2, copysign, cos, floor, hypot, pi, radians, sin, tan
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from render.shade.batch import Strip
from render.shade.layers import Layer
from render.shade.light import Light
from render.shade.pieces import Floats

Number = TypeVar("Number", np.float32, np.uint8)

# Distances, in thread radii, looked at for the horizon of the sky, for thin threads and thick ones.
_NEAR = (0.35, 0.75, 1.5, 2.8, 4.8)
_FINE = (0.2, 0.5, 0.9, 1.4, 2.1, 3.2, 4.8)
# Rows worked on together: what they need stays within the processor's cache.
_ROWS = 24


@dataclass(frozen=True)
class Reach:
    """How far light and shade carry, in pixels.

    Attributes
    ----------
    radius
        Radius of a usual thread.
    shadow
        For a few lines to the breadth of the lamp, steps (rows, columns) at which something may
        stand in its way.
    sky
        Steps along every line looked along for the horizon, one way and the other; all down.
    """

    radius: float
    shadow: tuple[tuple[tuple[int, int], ...], ...]
    sky: tuple[tuple[tuple[int, int], ...], ...]

    @property
    def halo(self) -> int:
        """Pixels around a strip that matter to it."""
        steps = [step for line in (*self.shadow, *self.sky) for step in line]
        return 3 + max((max(abs(dy), abs(dx)) for dy, dx in steps), default=0)


def reach(radius: float, relief: float, light: Light) -> Reach:
    """Find how far to look for what keeps light away.

    Parameters
    ----------
    radius
        Of a usual thread, in pixels.
    relief
        From the card to the highest thread, in pixels.
    light
        The lamp whose shadows are cast.
    """
    lowest = max(light.elevation - light.spread, 5.0)
    farthest = relief / tan(radians(lowest))
    lines = 2 if radius < 6 else 3
    stride = max(1.0, radius / 3)
    x, y, _ = (float(v) for v in light.toward)
    shadow = []
    for k in range(lines):
        # Lines share the breadth of the lamp.
        angle = atan2(y, x) + radians(light.spread) * (2 * k + 1 - lines) / lines
        distances = stride * np.arange(1, farthest / stride + 1)
        shadow.append(_steps(sin(angle), cos(angle), distances))
    lines, ring = (3, _NEAR) if radius < 6 else (5, _FINE)
    sky = []
    for k in range(lines):
        angle = pi * (k + 0.5) / lines
        distances = np.maximum(1.0, radius * np.array(ring))
        sky.append(_steps(sin(angle), cos(angle), distances))
    return Reach(radius, tuple(shadow), tuple(sky))


def _steps(
    down: float, right: float, distances: NDArray[np.float64]
) -> tuple[tuple[int, int], ...]:
    steps = dict.fromkeys((_whole(d * down), _whole(d * right)) for d in distances.tolist())
    steps.pop((0, 0), None)
    return tuple(steps)


def _whole(step: float) -> int:
    """Round to the nearest whole number; halves, though inexact, away from zero on both sides."""
    return int(copysign(floor(abs(step) + 0.5 + 1e-9), step))


def height_map(found: list[Layer], strip: Strip, card: float) -> Floats:
    """Return the (rows, columns) heights at pixel centres, in pixels.

    Where the nearest thread only touches a pixel but misses its centre, the one behind counts.
    """
    heights = np.full(strip.rows * strip.columns, card, np.float32)
    for layer in reversed(found):
        centre = np.flatnonzero(layer.centre)
        heights[layer.pixel[centre]] = layer.height[centre]
    return heights.reshape(strip.rows, strip.columns)


def lamp_visible(heights: Floats, far: Reach, light: Light, margin: int) -> Floats:
    """Return how much of the lamp each pixel sees, 0 to 1.

    Parameters
    ----------
    heights
        (rows, columns) height map.
    margin
        Pixels left out on every side of the result; at least `far.halo`.
    """
    out = np.ones(_inner(heights, margin), np.float32)
    if not far.shadow or light.elevation + light.spread >= 90:
        return out
    lowest, highest = (
        tan(radians(max(light.elevation - light.spread, 0.0))),
        tan(radians(light.elevation + light.spread)),
    )
    for rows in _blocks(len(out)):
        total = np.zeros((rows.stop - rows.start, out.shape[1]), np.float32)
        for line in far.shadow:
            rise = _steepest(heights, line, margin, rows, lowest)
            rise -= np.float32(highest)
            rise *= np.float32(-1 / (highest - lowest + 1e-6))
            # Smoothstep: a round lamp sinks slowly, then fast, then slowly.
            np.clip(rise, 0, 1, out=rise)
            total += rise * rise * (3 - 2 * rise)
        out[rows] = total * np.float32(1 / len(far.shadow))
    return out


def sky_visible(heights: Floats, far: Reach, margin: int) -> Floats:
    """Return how much of the light of the sky reaches each pixel past its horizon, 0 to 1.

    References
    ----------
    .. N. L. Max, "Horizon mapping: shadows for bump-mapped surfaces",
       The Visual Computer 4 (1988) 109-117
    """
    out = np.zeros(_inner(heights, margin), np.float32)
    for rows in _blocks(len(out)):
        total = out[rows]
        for line in far.sky:
            for rise in _steepest_both(heights, line, margin, rows):
                # What lies below elevation e is sin(e)^2 = t^2 / (1 + t^2) of a level card's light.
                rise *= rise
                rise += 1
                np.reciprocal(rise, out=rise)
                total += rise
    out *= np.float32(0.5 / len(far.sky))
    return out


def softened(lamp: Floats, level: NDArray[np.bool_]) -> Floats:
    """Even out the stairs that shadows on level ground have from being cast by whole pixels.

    Parameters
    ----------
    lamp
        (rows, columns) how much of the lamp each pixel sees.
    level
        (rows, columns) whether the pixel is level ground; others are left as they are and out.

    Returns
    -------
    (rows, columns) softened; the outermost pixels stay as they were.
    """
    out = lamp.copy()
    for rows in _blocks(len(lamp) - 2):
        around = slice(rows.start, rows.stop + 2)
        ground = level[around].view(np.uint8)
        total, share = _spread(lamp[around] * ground), _spread(ground)
        inner = (slice(rows.start + 1, rows.stop + 1), slice(1, -1))
        np.divide(total, share, out=out[inner], where=level[inner])
    return out


def _spread(values: NDArray[Number]) -> NDArray[Number]:
    """Return 1-4-1 sums of neighbours, down and across; one row and column less on every side.

    Of such weights these bring shadows nearest to those of a ray tracer. The sum of ones is 36.
    """
    four = values.dtype.type(4)
    down = values[1:-1] * four
    down += values[:-2]
    down += values[2:]
    across = down[:, 1:-1] * four
    across += down[:, :-2]
    across += down[:, 2:]
    return across


def _inner(heights: Floats, margin: int) -> tuple[int, int]:
    return heights.shape[0] - 2 * margin, heights.shape[1] - 2 * margin


def _blocks(rows: int) -> list[slice]:
    return [slice(at, min(at + _ROWS, rows)) for at in range(0, rows, _ROWS)]


def _steepest(
    heights: Floats,
    steps: tuple[tuple[int, int], ...],
    margin: int,
    rows: slice,
    least: float,
) -> NDArray[np.float32]:
    """Return the steepest rise from each pixel to those some steps away, `least` or more."""
    width = heights.shape[1] - 2 * margin
    top, bottom = rows.start + margin, rows.stop + margin
    here = heights[top:bottom, margin : margin + width]
    best = np.full(here.shape, least, np.float32)
    rise = np.empty_like(best)
    for dy, dx in steps:
        left = margin + dx
        # Copied first and taken from in place: twice as fast as from two arrays into a third.
        np.copyto(rise, heights[top + dy : bottom + dy, left : left + width])
        rise -= here
        rise *= np.float32(1 / hypot(dy, dx))
        np.maximum(best, rise, out=best)
    return best


def _steepest_both(
    heights: Floats, steps: tuple[tuple[int, int], ...], margin: int, rows: slice
) -> tuple[Floats, Floats]:
    """Return the steepest rises, 0 or more, along some steps, and falls, 0 or less, against them.

    What rises from one pixel to another falls from the other to the one: both share the work.
    """
    width = heights.shape[1] - 2 * margin
    top, bottom = rows.start + margin, rows.stop + margin
    rise = np.zeros((bottom - top, width), np.float32)
    fall = np.zeros_like(rise)
    for dy, dx in steps:
        left, right = margin - max(dx, 0), margin + width - min(dx, 0)
        step = heights[top : bottom + dy, left + dx : right + dx].copy()
        step -= heights[top - dy : bottom, left:right]
        step *= np.float32(1 / hypot(dy, dx))
        ahead, behind = max(dx, 0), max(-dx, 0)
        np.maximum(rise, step[dy:, ahead : ahead + width], out=rise)
        np.minimum(fall, step[: bottom - top, behind : behind + width], out=fall)
    return rise, fall

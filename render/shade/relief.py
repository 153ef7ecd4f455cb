"""What a strip looks like as a landscape, and how much light its valleys get."""

from dataclasses import dataclass
from math import atan2, copysign, cos, floor, hypot, pi, radians, sin, tan

import numpy as np
from numpy.typing import NDArray

from render.shade.batch import Strip
from render.shade.layers import Layer
from render.shade.light import Light
from render.shade.pieces import Floats

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
        Steps in every direction looked along for the horizon.
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
    directions, ring = (6, _NEAR) if radius < 6 else (10, _FINE)
    sky = []
    for k in range(directions):
        angle = 2 * pi * (k + 0.5) / directions
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
    out = np.ones(_inner(heights, margin), np.float32)
    share = np.float32(1 / len(far.sky))
    for rows in _blocks(len(out)):
        total = out[rows]
        for line in far.sky:
            rise = _steepest(heights, line, margin, rows, 0.0)
            # What lies below elevation e is sin(e)^2 = t^2 / (1 + t^2) of a level card's light.
            np.multiply(rise, rise, out=rise)
            rise /= 1 + rise
            rise *= share
            total -= rise
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
    ground = level.astype(np.float32)
    for rows in _blocks(len(lamp) - 2):
        around = slice(rows.start, rows.stop + 2)
        weight = ground[around]
        total, share = _spread(lamp[around] * weight), _spread(weight)
        inner = (slice(rows.start + 1, rows.stop + 1), slice(1, -1))
        np.divide(total, share, out=out[inner], where=level[inner])
    return out


def _spread(values: Floats) -> Floats:
    """Return 1-4-1 sums of neighbours, down and across; one row and column less on every side.

    Of such weights these bring shadows nearest to those of a ray tracer.
    """
    down = values[:-2] + values[2:]
    down += 4 * values[1:-1]
    across = down[:, :-2] + down[:, 2:]
    across += 4 * down[:, 1:-1]
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
        there = heights[top + dy : bottom + dy, left : left + width]
        np.subtract(there, here, out=rise)
        rise *= np.float32(1 / hypot(dy, dx))
        np.maximum(best, rise, out=best)
    return best

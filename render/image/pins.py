"""Pins stuck through the lace, seen from above."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.shade.light import Light
from render.shade.noise import speckle
from render.shade.strip import Lit
from render.shade.view import View

Floats = NDArray[np.float32]
Numbers = NDArray[np.float64]

BRASS = (0.80, 0.58, 0.26)
STEEL = (0.62, 0.62, 0.63)


@dataclass(frozen=True, eq=False)
class Pins:
    """Pins of one make, pushed down to the same height and leaning away from the maker.

    Attributes
    ----------
    at
        (N, 2) where they stand, in mm.
    shaft_mm, head_mm
        Diameters.
    above_mm
        How far the head stands above the card.
    lean_mm
        How far the head is from the hole, seen from above.
    metal
        Linear red, green and blue that the metal mirrors.
    """

    at: NDArray[np.float64]
    shaft_mm: float = 0.45
    head_mm: float = 0.95
    above_mm: float = 2.2
    lean_mm: float = 0.75
    metal: tuple[float, float, float] = BRASS

    def heads(self) -> NDArray[np.float64]:
        """Return the (N, 2) middles of the heads in mm; no two pins lean quite the same way."""
        number = np.arange(len(self.at))
        side = 0.3 + 0.35 * speckle(number, 1, 51)
        away = self.lean_mm * (1 + 0.25 * speckle(number, 2, 51))
        return np.asarray(
            self.at + np.column_stack([away * np.sin(side), -away * np.cos(side)]), np.float64
        )


def stick(pins: Pins, lit: Lit, view: View, light: Light, top: int) -> None:
    """Draw pins and their shadows over a lit strip, in place.

    Parameters
    ----------
    pins
        The pins.
    lit
        The strip; its arrays are changed.
    view
        The pixels.
    light
        The light.
    top
        Row of the view that the strip begins with.
    """
    feet = (pins.at - (view.left, view.top)) * view.scale - (0.5, 0.5 + top)
    heads = (pins.heads() - (view.left, view.top)) * view.scale - (0.5, 0.5 + top)
    shape = lit.bare.shape
    x, y, z = (float(v) for v in light.toward)
    cast = heads - np.array([x, y]) / z * pins.above_mm * view.scale
    _shadow(pins, lit, feet, cast, view.scale)
    near = _near(np.minimum(feet, heads), np.maximum(feet, heads), pins.head_mm * view.scale, shape)
    feet, heads = feet[near], heads[near]
    for at in range(0, len(feet), _TOGETHER):
        part = slice(at, at + _TOGETHER)
        _draw(pins, lit, feet[part], heads[part], view.scale, light)


# Pins worked on together.
_TOGETHER = 64


def _near(low: Numbers, high: Numbers, margin: float, shape: tuple[int, ...]) -> NDArray[np.int64]:
    """Return which boxes come near the strip."""
    inside = (high + margin > 0) & (low - margin < (shape[1], shape[0]))
    return np.flatnonzero(inside.all(axis=1))


def _window(
    low: Numbers, high: Numbers, margin: float
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return columns (N, 1, k) and rows (N, k, 1) of windows of one size around boxes."""
    corner = np.floor(low - margin).astype(np.int64)
    size = int(np.ceil(np.max(high - low) + 2 * margin)) + 2
    steps = np.arange(size)
    return corner[:, 0, None, None] + steps[None, None], corner[:, 1, None, None] + steps[:, None]


def _segment(
    column: NDArray[np.int64], row: NDArray[np.int64], a: Numbers, b: Numbers
) -> tuple[Numbers, Numbers]:
    """Return how far along from a to b pixels lie, 0 to 1, and how far beside, signed."""
    dx, dy = column - a[:, 0, None, None], row - a[:, 1, None, None]
    along = (b - a)[:, :, None, None]
    size = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-6)
    ux, uy = along[:, 0] / size, along[:, 1] / size
    share = np.clip((dx * ux + dy * uy) / size, 0, 1)
    left_x, left_y = dx - share * along[:, 0], dy - share * along[:, 1]
    beside = np.hypot(left_x, left_y)
    return share, np.where(ux * dy - uy * dx < 0, -beside, beside)


def _shadow(pins: Pins, lit: Lit, feet: Numbers, cast: Numbers, scale: float) -> None:
    """Take the lamp from where pins stand in its way: sharp at the hole, soft further off."""
    shape = lit.bare.shape
    margin = pins.head_mm * scale + 2
    low, high = np.minimum(feet, cast), np.maximum(feet, cast)
    near = _near(low, high, margin, shape)
    left = np.ones(shape, np.float32)
    for at in range(0, len(near), _TOGETHER):
        n = near[at : at + _TOGETHER]
        column, row = _window(low[n], high[n], margin)
        share, beside = _segment(column, row, feet[n], cast[n])
        blur = 0.5 + (0.06 + 0.28 * share) * scale
        half = pins.shaft_mm / 2 * scale
        dark = _band(beside, half, blur)
        away = np.hypot(column - cast[n, 0, None, None], row - cast[n, 1, None, None])
        dark = np.maximum(dark, _band(away, pins.head_mm / 2 * scale, 0.34 * scale + 0.5))
        place, chosen = _inside(row, column, shape)
        np.minimum.at(left, place, (1 - 0.85 * dark).astype(np.float32).ravel()[chosen])
    lit.lamp[...] *= left
    lit.threads[...] *= 0.35 + 0.65 * left


def _band(beside: Numbers, half: float, blur: Numbers | float) -> Numbers:
    """Return how dark a blurred band is at some distance from its middle line."""
    inner = np.clip((half - np.abs(beside)) / blur + 0.5, 0, 1)
    return np.asarray(inner * inner * (3 - 2 * inner) * np.minimum(1, 2 * half / blur))


def _inside(
    row: NDArray[np.int64], column: NDArray[np.int64], shape: tuple[int, ...]
) -> tuple[tuple[NDArray[np.int64], NDArray[np.int64]], NDArray[np.int64]]:
    row, column = (v.ravel() for v in np.broadcast_arrays(row, column))
    chosen = np.flatnonzero((row >= 0) & (row < shape[0]) & (column >= 0) & (column < shape[1]))
    return (row[chosen], column[chosen]), chosen


def _draw(pins: Pins, lit: Lit, feet: Numbers, heads: Numbers, scale: float, light: Light) -> None:
    """Draw shafts, then heads, over what is there."""
    shape = lit.bare.shape
    shaft, ball = pins.shaft_mm / 2 * scale, pins.head_mm / 2 * scale
    low, high = np.minimum(feet, heads), np.maximum(feet, heads)
    column, row = _window(low, high, ball + 1)
    share, beside = _segment(column, row, feet, heads)
    lean = (heads - feet) / np.maximum(np.hypot(*(heads - feet).T), 1e-6)[:, None]
    across = np.clip(beside / max(shaft, 0.5), -1, 1)
    up = np.sqrt(1 - across**2)
    tilt = 0.5  # the shaft is seen from near its head end, so it faces back along its lean
    nx = -lean[:, 1, None, None] * across - tilt * up * lean[:, 0, None, None]
    ny = lean[:, 0, None, None] * across - tilt * up * lean[:, 1, None, None]
    steel = _metal(nx, ny, up * np.sqrt(1 - tilt**2), pins.metal, light)
    # The shaft sinks into the lace's shade at its foot.
    steel *= (0.6 + 0.4 * np.clip(share * 3, 0, 1))[..., None]
    cover = np.clip(shaft - np.abs(beside) + 0.5, 0, 1) * min(1.0, 2 * shaft)
    dx, dy = column - heads[:, 0, None, None], row - heads[:, 1, None, None]
    away = np.hypot(dx, dy)
    up = np.sqrt(np.maximum(1 - (away / max(ball, 0.5)) ** 2, 0.02))
    brass = _metal(dx / max(ball, 0.5), dy / max(ball, 0.5), up, pins.metal, light)
    round_ = np.clip(ball - away + 0.5, 0, 1)
    colour = steel * (1 - round_)[..., None] + brass * round_[..., None]
    cover = np.maximum(cover, round_)
    place, chosen = _inside(row, column, shape)
    _over(lit, place, cover.ravel()[chosen], colour.reshape(-1, 3)[chosen])


def _over(
    lit: Lit,
    place: tuple[NDArray[np.int64], NDArray[np.int64]],
    cover: Numbers,
    colour: Numbers,
) -> None:
    """Lay colours over the strip, the fullest one where several pins share a pixel."""
    best = np.zeros(lit.bare.shape)
    np.maximum.at(best, place, cover)
    chosen = np.flatnonzero((cover > 0) & (cover == best[place]))
    row, column = (v[chosen] for v in place)
    share = cover[chosen].astype(np.float32)
    lit.bare[row, column] *= 1 - share
    lit.threads[:, row, column] *= 1 - share
    lit.threads[:, row, column] += share * colour[chosen].T.astype(np.float32)


def _metal(
    nx: Numbers, ny: Numbers, nz: Numbers, metal: tuple[float, float, float], light: Light
) -> Numbers:
    """Return linear colours of polished metal: it mirrors the lamp, the sky and the lace."""
    x, y, z = (float(v) for v in light.toward)
    facing = np.maximum(nx * x + ny * y + nz * z, 0)
    half = np.array([x, y, z + 1]) / np.sqrt(x * x + y * y + (z + 1) ** 2)
    mirror = np.maximum(nx * half[0] + ny * half[1] + nz * half[2], 0)
    soft, sharp = mirror**12, mirror**90
    # Mirrored upwards is sky, mirrored sideways is lace and room.
    sky = 0.38 + 0.60 * np.clip(2 * nz * nz - 1, 0, 1)
    own = np.array(metal)
    lamp, dome = np.array(light.lamp), np.array(light.sky)
    body = (0.42 * facing + 0.65 * soft)[..., None] * lamp + sky[..., None] * dome
    return np.asarray(own * body + 0.9 * sharp[..., None] * lamp * (0.4 + 0.6 * own))

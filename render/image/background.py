"""What the lace lies on: card, cloth, an even colour, or nothing."""

from dataclasses import dataclass
from functools import lru_cache
from math import ceil

import numpy as np
from numpy.typing import NDArray

from render.shade.light import Light
from render.shade.noise import waver
from render.shade.view import View

Colour = tuple[float, float, float]
Floats = NDArray[np.float32]

# Patterns repeat after this many pixels at most.
_TILE_PIXELS = 1200.0

BUFF: Colour = (0.867, 0.761, 0.569)


@dataclass(frozen=True)
class Flat:
    """One even colour (sRGB, 0 to 1)."""

    colour: Colour

    def tile(self, scale: float, light: Light) -> Floats:
        """Return the (1, 1) pattern: none."""
        return np.ones((1, 1), np.float32)


@dataclass(frozen=True)
class Clear:
    """Nothing: the picture keeps its transparency.

    Attributes
    ----------
    shadow
        Darkness of the shadow that stays on whatever the picture is laid on, 0 (none) to 1.
    """

    shadow: float = 0.0


@dataclass(frozen=True)
class Card:
    """Pricking card: even, with the faint grain of pressed paper.

    Attributes
    ----------
    colour
        sRGB, 0 to 1.
    grain
        How much lighter or darker than its colour the card is in places, as a part of it.
    """

    colour: Colour = BUFF
    grain: float = 0.025

    def tile(self, scale: float, light: Light) -> Floats:
        """Return factors on the colour that fit together without a seam, some mm square."""
        mm = _tile_mm(12.0, scale)
        x, y, size = _places(mm, scale)
        pattern = np.zeros((size, size), np.float32)
        for kind, (grain_mm, share) in enumerate(((2.0, 0.25), (0.4, 0.3), (0.125, 0.45))):
            cells = max(1, round(mm / grain_mm))
            if cells < size:
                pattern += share * _hills(x, y, cells, 40 + kind)
        return 1 + np.float32(self.grain) * pattern


@dataclass(frozen=True)
class Woven:
    """Plain-woven cloth, every yarn over one and under one, at its true size.

    Attributes
    ----------
    colour
        sRGB, 0 to 1.
    pitch_mm
        From yarn to yarn.
    cover
        Yarn thickness as a part of the pitch.
    uneven
        How much yarns differ in thickness and shade, as a part of each.
    """

    colour: Colour
    pitch_mm: float = 0.5
    cover: float = 0.85
    uneven: float = 0.15

    def tile(self, scale: float, light: Light) -> Floats:
        """Return factors on the colour that fit together without a seam, some yarns square."""
        yarns = 2 * ceil(_tile_mm(16.0, scale) / self.pitch_mm / 2)
        finer = max(1, ceil(6 / (self.pitch_mm * scale)))
        x, y, size = _places(yarns * self.pitch_mm, scale, finer)
        warp, warp_shade = self._yarn(x * yarns, y * yarns, yarns, 61)
        weft, weft_shade = self._yarn(y * yarns, x * yarns, yarns, 62)
        height = np.maximum(np.maximum(warp, weft), -1.0)
        shade = np.where(warp > weft, warp_shade, weft_shade)
        step = yarns / size
        right, down = (
            (np.roll(height, -1, axis) - np.roll(height, 1, axis)) * np.float32(0.5 / step)
            for axis in (1, 0)
        )
        return _evened(shade * _relief(right, down, light) * _hollow(height), finer)

    def _yarn(self, across: Floats, along: Floats, yarns: int, kind: int) -> tuple[Floats, Floats]:
        """Return heights, in pitches, and shades of one of the two sets of yarns."""
        number = np.floor(across)
        ways = (number, along * 0.5), (yarns, yarns // 2)
        thick = self.cover * (1 + self.uneven * waver(*ways[0], ways[1], kind))
        shade = 1 + 0.6 * self.uneven * waver(*ways[0], ways[1], kind + 10)
        fibres = waver(across * 6, along, (yarns * 6, yarns), kind + 20)
        off = np.clip((across - number - 0.5) / (0.5 * thick), -1, 1)
        over = 1 if kind % 2 else -1
        crimp = over * np.where(number % 2 == 0, 1, -1) * np.sin(np.pi * along)
        height = 0.32 * thick * np.sqrt(1 - off**2) + 0.2 * crimp
        height = np.where(np.abs(off) < 1, height, -0.45)
        return height.astype(np.float32), (shade * (1 + 0.08 * fibres)).astype(np.float32)


@dataclass(frozen=True)
class Felt:
    """Short fibres pressed together every way.

    Attributes
    ----------
    colour
        sRGB, 0 to 1.
    rough
        Contrast of the fibres.
    """

    colour: Colour
    rough: float = 0.16

    def tile(self, scale: float, light: Light) -> Floats:
        """Return factors on the colour that fit together without a seam, 14 mm square."""
        finer = max(1, ceil(12 / scale))
        mm = _tile_mm(14.0, scale)
        x, y, _ = _places(mm, scale, finer)

        def cells(per_mm: float) -> int:
            return max(1, round(per_mm * mm))

        pattern = 0.5 * _hills(x, y, cells(0.65), 70) + 0.5 * _hills(x, y, cells(2.9), 71)
        bend = 0.3 / mm * _hills(x, y, cells(0.5), 72)
        for k, (a, b) in enumerate(((1, 0), (0, 1), (1, 1), (1, -1), (2, 1), (1, -2))):
            across, along = a * x + b * y + bend, b * x - a * y - bend
            many, few = cells(6.4), cells(0.65)
            lines = waver(across * many, along * few, (many, few), 80 + k)
            pattern = pattern + 0.9 * np.maximum(lines - 0.15, 0)
        return _evened(1 + self.rough * (pattern - pattern.mean()), finer)


@dataclass(frozen=True)
class Velvet:
    """Dense upright pile that swallows light and shows where it has been stroked.

    Attributes
    ----------
    colour
        sRGB, 0 to 1.
    """

    colour: Colour

    def tile(self, scale: float, light: Light) -> Floats:
        """Return factors on the colour that fit together without a seam, 30 mm square."""
        finer = max(1, ceil(8 / scale))
        mm = _tile_mm(30.0, scale)
        x, y, _ = _places(mm, scale, finer)
        fine, coarse, soft = (max(1, round(per_mm * mm)) for per_mm in (8.7, 5.0, 0.15))
        stroked = _hills(x, y, soft, 90) + 0.5 * _hills(x, y, 2 * soft + 1, 91)
        pile = _hills(x, y, fine, 92) + _hills(x, y, coarse, 93)
        return _evened(np.maximum(1 + 0.16 * stroked + 0.30 * pile, 0.2), finer)


Cloth = Woven | Felt | Velvet
Background = Flat | Card | Cloth | Clear

FABRICS: dict[str, Cloth] = {
    "linen": Woven((0.55, 0.50, 0.42), 0.55, 0.88, 0.22),
    "blue linen": Woven((0.16, 0.22, 0.38), 0.50, 0.90, 0.18),
    "lawn": Woven((0.30, 0.34, 0.36), 0.30, 0.92, 0.08),
    "felt": Felt((0.20, 0.30, 0.25)),
    "velvet": Velvet((0.10, 0.06, 0.10)),
}
# The dark blue of a pillow's cover cloth, that unbleached cotton shows up on.
CLOTH = FABRICS["blue linen"]
SHADOW = 0.45
BACKGROUNDS: dict[str, Background] = {
    "card": Card(),
    "cloth": CLOTH,
    **FABRICS,
    "clear": Clear(),
    "shadow": Clear(SHADOW),
}


def rows(background: Flat | Card | Cloth, view: View, light: Light, top: int, count: int) -> Floats:
    """Return (count, width) factors on the background's colour for some rows of a view."""
    tile = _tile(background, view.scale, light)
    if tile.size == 1:
        return np.ones((count, view.width), np.float32)
    down = np.arange(top, top + count) % tile.shape[0]
    across = np.arange(view.width) % tile.shape[1]
    return np.asarray(np.take(np.take(tile, down, axis=0), across, axis=1), np.float32)


@lru_cache(maxsize=4)
def _tile(background: Flat | Card | Cloth, scale: float, light: Light) -> Floats:
    return np.asarray(background.tile(scale, light), np.float32)


def _hills(x: Floats, y: Floats, cells: int, kind: int) -> Floats:
    """Return hills and hollows, so many across a tile and down it."""
    return waver(x * cells, y * cells, (cells, cells), kind)


def _tile_mm(usual: float, scale: float) -> float:
    """Return the size of a tile: as usual, but no more than some thousand pixels."""
    return min(usual, _TILE_PIXELS / scale)


def _places(size_mm: float, scale: float, finer: int = 1) -> tuple[Floats, Floats, int]:
    """Return places across (1, n) and down (n, 1) a square tile, 0 to 1, and n."""
    size = max(1, round(size_mm * scale)) * finer
    place = ((np.arange(size) + 0.5) / size).astype(np.float32)
    return place[None, :], place[:, None], size


def _evened(pattern: NDArray[np.floating], finer: int) -> Floats:
    """Average finer x finer cells, and make the mean 1."""
    rows, columns = (n // finer for n in pattern.shape)
    mean = pattern.reshape(rows, finer, columns, finer).mean(axis=(1, 3))
    return np.asarray(mean / mean.mean(), np.float32)


def _relief(right: Floats, down: Floats, light: Light) -> Floats:
    """Return how brightly slopes are lit, as a part of level ground."""
    x, y, z = light.toward
    facing = (z - x * right - y * down) / np.sqrt(1 + right**2 + down**2) / z
    return np.asarray(0.45 + 0.55 * np.maximum(facing, 0), np.float32)


def _hollow(height: Floats) -> Floats:
    """Return how much light is left in the hollows between yarns."""
    return np.asarray(np.clip(0.75 + 0.9 * height, 0.25, 1), np.float32)

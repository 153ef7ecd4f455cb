"""What twisting plies together does to a thread's surface, as tables to look up.

A table covers a few full turns of the plies along the thread and half the way round it: what is
seen of it from one side.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from render.shade.material import Material
from render.shade.noise import waver

Floats = NDArray[np.float32]

# Turns of the plies before the irregularities repeat.
TURNS = 16
# Of the way a side-by-side pair of plies swells and shrinks the outline, the part that is left
# when they are pressed together.
_PRESSED = 0.22
# Fibres side by side that are seen of one ply.
_FIBRES = 14


@dataclass(frozen=True, eq=False)
class Twist:
    """The surface of a twisted thread (all (rows, columns), flattened, unless said otherwise).

    Rows run along `TURNS` turns of the plies, columns across the thread from its left edge, seen
    along it, to its right edge.

    Attributes
    ----------
    rows, columns
        Size of the tables, powers of two.
    across, along
        Parts of the surface normal across the thread and along it.
    fibre
        Sine of the angle between fibres and thread, seen from above.
    gain
        Part of the light that is left in grooves and between fibres, 0 to 1.
    left, right
        (rows,) half widths of the thread as parts of its radius, 1 on average.
    """

    rows: int
    columns: int
    across: Floats
    along: Floats
    fibre: Floats
    gain: Floats
    left: Floats
    right: Floats


def twist(material: Material, radius: float) -> Twist:
    """Return the tables for threads of some radius in pixels, no finer than pixels need."""
    columns = _power(2.5 * radius, 8, 256)
    turn = _power(2 * material.lay * radius, 8, 256)
    return _tables(material, turn * TURNS, columns)


def _power(size: float, least: int, most: int) -> int:
    return int(min(max(2 ** int(np.ceil(np.log2(max(size, 1.0)))), least), most))


@lru_cache(maxsize=16)
def _tables(material: Material, rows: int, columns: int) -> Twist:
    finer = max(1, 32 // columns)
    turn = (np.arange(rows * finer)[:, None] + 0.5) / (rows * finer) * TURNS
    place = (np.arange(columns * finer) + 0.5) / (columns * finer) * 2 - 1
    sense = 1.0 if material.twist == "Z" else -1.0
    centre, middle, ply_radius = _plies(material, sense * turn)
    left = np.max(ply_radius - centre, axis=0)
    right = np.max(ply_radius + centre, axis=0)
    spread = np.where(place < 0, left, right) * place
    off = (spread - centre) / ply_radius
    rise = middle + ply_radius * np.sqrt(np.maximum(1 - off**2, 0.0))
    rise = np.where(np.abs(off) < 1, rise, -1.0)
    top = np.argmax(rise, axis=0)[None]
    height = np.take_along_axis(rise, top, axis=0)[0]
    off = np.clip(np.take_along_axis(off, top, axis=0)[0], -0.995, 0.995)
    spacing = 2 * material.lay / (rows * finer / TURNS)
    slope_along = -np.clip((np.roll(height, -1, 0) - np.roll(height, 1, 0)) / (2 * spacing), -1, 1)
    slope_across = off / np.sqrt(1 - off**2)
    norm = 1 / np.sqrt(1 + slope_across**2 + slope_along**2)
    streak, angle = _fibres(material, turn, off, top[0], sense)
    groove = np.clip((np.sqrt(np.maximum(1 - place**2, 0)) - height) * 0.9, 0, 1) * material.groove
    gain = (1 - 0.55 * groove) * (1 - material.streak * 0.5 * (0.5 + 0.5 * streak))
    slubs = [material.slub * _slub(turn[:, 0], kind) for kind in (21, 22)]

    def reduced(values: NDArray[np.floating]) -> Floats:
        blocks = values.reshape(rows, finer, columns, finer)
        return blocks.mean(axis=(1, 3)).astype(np.float32).ravel()

    def outline(width: NDArray[np.floating], slub: NDArray[np.floating]) -> Floats:
        swell = 1 + _PRESSED * (width[:, 0] / width.mean() - 1) + slub
        return swell.reshape(rows, finer).mean(axis=1).astype(np.float32)

    return Twist(
        rows,
        columns,
        reduced(slope_across * norm),
        reduced(slope_along * norm),
        reduced(angle),
        reduced(gain),
        outline(left, slubs[0]),
        outline(right, slubs[1]),
    )


def _plies(
    material: Material, turn: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    """Return place across and height of each ply's middle (plies, rows, 1), and its radius."""
    if material.plies == 1:
        centre = np.zeros((1, *turn.shape))
        return centre, centre, 1.0
    away = 0.5 * material.groove
    start = np.arange(material.plies)[:, None, None] / material.plies
    angle = 2 * np.pi * (turn + start)
    return away * np.cos(angle), away * np.sin(angle), 1 - away


def _fibres(
    material: Material,
    turn: NDArray[np.float64],
    off: NDArray[np.float64],
    ply: NDArray[np.int64],
    sense: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the streaks fibres draw, -1 to 1, and the sines of their angles to the thread.

    Plies are spun the other way than they are twisted together, so that their fibres come to lie
    nearly along the thread.
    """
    round_ply = np.arcsin(off) / np.pi + 0.5
    lines = (round_ply - 0.875 * sense * turn) * _FIBRES + 5 * ply
    streak = 0.65 * waver(lines, turn * 1.5, (2 * _FIBRES, TURNS * 3 // 2), 11)
    streak = streak + 0.35 * waver(lines * 2, turn * 2.5, (4 * _FIBRES, TURNS * 5 // 2), 12)
    lie = -0.08 * sense * np.sqrt(1 - off**2)
    return streak, lie + 0.22 * material.streak * streak


def _slub(turn: NDArray[np.float64], kind: int) -> NDArray[np.float64]:
    """Return slow and quick changes of thickness, about 0 on average."""
    still = np.zeros(1)
    slow = waver(turn * 0.5, still, (TURNS // 2, 1), 13)
    quick = waver(turn * 4, still, (TURNS * 4, 1), kind)
    both = 0.6 * slow + 0.4 * quick
    return both - both.mean()


@dataclass(frozen=True, eq=False)
class Outline:
    """How the half width of every thread wavers along it.

    Attributes
    ----------
    rows
        (M,) rows of each material's tables.
    first
        (M,) place of its first row in `left` and `right`.
    left, right
        Half widths less 1 of all materials, one after another.
    made_of
        (T,) index of each thread's material.
    strength
        (T,) how much of it is seen at the thread's size, 0 to 1.
    """

    rows: NDArray[np.int64]
    first: NDArray[np.int64]
    left: Floats
    right: Floats
    made_of: NDArray[np.int64]
    strength: Floats

    @property
    def widest(self) -> float:
        """The greatest half width as a part of the radius."""
        return 1 + max(0.0, float(self.left.max()), float(self.right.max()))


def outline(
    tables: tuple[Twist, ...], made_of: NDArray[np.int64], radius: NDArray[np.float32]
) -> Outline:
    """Gather the outlines of all materials.

    Parameters
    ----------
    tables
        One for each material.
    made_of
        (T,) index of each thread's material.
    radius
        (T,) radii in pixels.
    """
    rows = np.array([t.rows for t in tables])
    return Outline(
        rows,
        np.cumsum(rows) - rows,
        np.concatenate([t.left for t in tables]) - 1,
        np.concatenate([t.right for t in tables]) - 1,
        made_of,
        np.clip((radius - 1.5) / 3, 0, 1),
    )

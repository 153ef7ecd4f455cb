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
_FIBRES = 16
# How far, in thread radii, one ply's surface may lie below the other's and still be seen.
_MINGLE = 0.05


@dataclass(frozen=True, eq=False)
class Twist:
    """The surface of a twisted thread (all (rows, columns), flattened, unless said otherwise).

    Rows run along `TURNS` turns of the plies, columns across the thread from its left edge, seen
    along it, to its right edge.

    Attributes
    ----------
    rows, columns
        Size of the tables, powers of two.
    lean, along
        Parts of the surface normal across the thread and along it; what a round thread's would be
        is taken off.
    fibre
        Sine of the angle between fibres and thread, seen from above.
    gain
        Part of the light that is left in grooves and between fibres, 0 to 1.
    left, right
        (rows,) half widths of the thread as parts of its radius, 1 on average.
    """

    rows: int
    columns: int
    lean: Floats
    along: Floats
    fibre: Floats
    gain: Floats
    left: Floats
    right: Floats

    @property
    def usual(self) -> float:
        """The light that is left in grooves on average."""
        return float(self.gain.mean())


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
    plies = _plies(material, sense * turn, sense, place)
    spacing = 2 * material.lay / (rows * finer / TURNS)
    rise = (np.roll(plies.height, -1, 0) - np.roll(plies.height, 1, 0)) / (2 * spacing)
    ahead = -np.clip(rise, -1, 1)
    streak = _streaks(plies, turn, sense)
    slope = plies.slope + sense * 0.5 * material.streak * plies.front * streak
    norm = 1 / np.sqrt(1 + slope**2 + ahead**2)
    lie = sense * (0.08 * plies.front + 0.22 * material.streak * streak)
    depth = np.sqrt(np.maximum(1 - place**2, 0)) - plies.height
    groove = np.clip(1.1 * depth, 0, 1) * material.groove
    gain = (1 - 0.55 * groove) * (1 - material.streak * (0.3 + 0.4 * streak))
    kinds = (21, 22) if sense > 0 else (22, 21)

    def reduced(values: NDArray[np.float64]) -> Floats:
        blocks = values.reshape(rows, finer, columns, finer)
        return np.asarray(blocks.mean(axis=(1, 3)), np.float32).ravel()

    def outline(width: NDArray[np.float64], kind: int) -> Floats:
        swell = 1 + _PRESSED * (width / width.mean() - 1)
        swell = swell + material.slub * _slub(turn[:, 0], kind)
        return np.asarray(swell.reshape(rows, finer).mean(axis=1), np.float32)

    return Twist(
        rows,
        columns,
        reduced(slope * norm - place),
        reduced(ahead * norm),
        reduced(lie),
        reduced(np.minimum(gain, 1)),
        outline(plies.left, kinds[0]),
        outline(plies.right, kinds[1]),
    )


@dataclass(frozen=True, eq=False)
class _Plies:
    """Plies seen from one side, (rows, columns) but for the half widths, which are (rows,).

    `place` is (plies, rows, columns), the place across each ply; `share` how far it is the one
    that is seen; `front` how squarely the surface faces the viewer across its ply.
    """

    height: NDArray[np.float64]
    slope: NDArray[np.float64]
    front: NDArray[np.float64]
    place: NDArray[np.float64]
    share: NDArray[np.float64]
    left: NDArray[np.float64]
    right: NDArray[np.float64]


def _plies(
    material: Material, turn: NDArray[np.float64], sense: float, place: NDArray[np.float64]
) -> _Plies:
    """Lay plies side by side and turn them; where two meet, their fibres mingle."""
    away = 0.5 * material.groove if material.plies > 1 else 0.0
    thick = 1 - away
    start = sense * np.arange(material.plies)[:, None, None] / material.plies
    angle = 2 * np.pi * (turn + start)
    centre, middle = away * np.sin(angle), away * np.cos(angle)
    left, right = (thick + np.max(side * centre, axis=0)[:, 0] for side in (-1, 1))
    spread = np.where(place < 0, left[:, None], right[:, None]) * place
    off = (spread - centre) / thick
    inside = np.clip(off, -0.995, 0.995)
    up = np.sqrt(1 - inside**2)
    height = middle + thick * up - 4 * np.abs(off - inside)
    share = np.exp((height - height.max(axis=0)) / _MINGLE)
    share /= share.sum(axis=0)
    return _Plies(
        (share * height).sum(axis=0),
        (share * inside / up).sum(axis=0),
        (share * up).sum(axis=0),
        inside,
        share,
        left,
        right,
    )


def _streaks(plies: _Plies, turn: NDArray[np.float64], sense: float) -> NDArray[np.float64]:
    """Return the light and dark lines that fibres draw, -1 to 1.

    Plies are spun the other way than they are twisted together, so that their fibres come to lie
    nearly along the thread.
    """
    streak = np.zeros(plies.height.shape)
    for k, (place, share) in enumerate(zip(plies.place, plies.share, strict=True)):
        lines = (sense * np.arcsin(place) / np.pi + 0.875 * turn) * _FIBRES + 5 * k
        coarse = waver(lines, turn * 1.5, (2 * _FIBRES, TURNS * 3 // 2), 11)
        fine = waver(lines * 2, turn * 2.5, (4 * _FIBRES, TURNS * 5 // 2), 12)
        streak += share * (0.6 * coarse + 0.4 * fine)
    return streak


def _slub(turn: NDArray[np.float64], kind: int) -> NDArray[np.float64]:
    """Return slow and quick changes of thickness, about 0 on average."""
    still = np.zeros(1)
    slow = waver(turn * 0.5, still, (TURNS // 2, 1), 13)
    quick = waver(turn * 4, still, (TURNS * 4, 1), kind)
    both = np.asarray(0.6 * slow + 0.4 * quick, np.float64)
    return np.asarray(both - both.mean())


@dataclass(frozen=True, eq=False)
class Outline:
    """How the half width of every thread wavers along it, and how much the thread hides.

    Attributes
    ----------
    rows
        (M,) rows of each material's tables.
    first
        (M,) place of its first row in `sides`.
    sides
        Half widths less 1, left and right in turn, of all materials, one after another.
    made_of
        (T,) index of each thread's material.
    strength
        (T,) how much of it is seen at the thread's size, 0 to 1.
    solid
        (M,) part of what lies behind that each material hides.
    """

    rows: NDArray[np.int64]
    first: NDArray[np.int64]
    sides: Floats
    made_of: NDArray[np.int64]
    strength: Floats
    solid: Floats

    @property
    def widest(self) -> float:
        """The greatest half width as a part of the radius."""
        return 1 + max(0.0, float(self.sides.max()))


def outline(
    materials: tuple[Material, ...],
    tables: tuple[Twist, ...],
    made_of: NDArray[np.int64],
    radius: NDArray[np.float32],
) -> Outline:
    """Gather the outlines of all materials.

    Parameters
    ----------
    materials
        The materials in use.
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
        np.concatenate([np.column_stack([t.left, t.right]).ravel() for t in tables]) - 1,
        made_of,
        np.clip((radius - 1.5) / 3, 0, 1),
        np.array([m.solid for m in materials], np.float32),
    )

"""Pricked holes in a card."""

import numpy as np
from numpy.typing import NDArray

from render.shade.light import Light
from render.shade.view import View

# Light left at the bottom of a hole, and how much its raised rim is lit more or less.
_DARK = 0.10
_RIM = 0.10


def prick(
    card: NDArray[np.float32],
    holes: NDArray[np.float64],
    diameter_mm: float,
    view: View,
    lamp: Light,
    top: int,
) -> None:
    """Darken the holes in some rows of a card, in place.

    Parameters
    ----------
    card
        (rows, width) factors on the card's colour.
    holes
        (N, 2) middles in mm.
    diameter_mm
        Of the holes.
    view
        The pixels.
    lamp
        Shows up the rim that the needle raised.
    top
        Row of the view that `card` begins with.
    """
    rows, width = card.shape
    radius = diameter_mm / 2 * view.scale
    reach = int(np.ceil(1.5 * radius + 1))
    middle = (holes - (view.left, view.top)) * view.scale - (0.5, 0.5 + top)
    near = (middle[:, 1] > -reach - 1) & (middle[:, 1] < rows + reach)
    near &= (middle[:, 0] > -reach - 1) & (middle[:, 0] < width + reach)
    middle = middle[near]
    window = np.arange(-reach, reach + 1)
    whole = np.rint(middle).astype(np.int64)
    column = whole[:, 0, None, None] + window[None, None, :]
    row = whole[:, 1, None, None] + window[None, :, None]
    right, down = column - middle[:, 0, None, None], row - middle[:, 1, None, None]
    factor = _profile(right, down, radius, lamp)
    row, column = np.broadcast_arrays(row, column)
    inside = np.flatnonzero((row >= 0) & (row < rows) & (column >= 0) & (column < width))
    place = (row.ravel()[inside], column.ravel()[inside])
    np.multiply.at(card, place, factor.ravel()[inside])


def _profile(
    right: NDArray[np.float64], down: NDArray[np.float64], radius: float, lamp: Light
) -> NDArray[np.float32]:
    """Return how much light is left around a hole's middle."""
    away = np.hypot(right, down)
    x, y, _ = lamp.toward
    # Seen from the middle, the wall away from the lamp is lit, the one towards it is not.
    toward = (x * right + y * down) / np.maximum(away, 0.5)
    open_ = (
        min(1.0, np.pi * radius**2) * np.clip(radius - away + 0.5, 0, 1)
        if radius < 0.5
        else (np.clip(radius - away + 0.5, 0, 1))
    )
    wall = _DARK * (1 - 0.9 * toward * np.clip(away / max(radius, 0.5), 0, 1))
    rim = np.exp(-(((away / max(radius, 0.5) - 1.15) / 0.22) ** 2)) * _RIM * toward
    return np.asarray((1 - open_) * (1 + rim) + open_ * wall, np.float32)

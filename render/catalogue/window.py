"""Choose what part of a piece a small picture shows."""

import numpy as np

from render.catalogue.figures import kind_of
from render.pipeline import Worked

Window = tuple[float, float, float, float]

# So many thread diameters across keep whole stitch, half stitch and ground apart in 400 pixels:
# a thread is then two and a half pixels wide (judged by eye on the demo patterns).
DIAMETERS_ACROSS = 160
# A square this much wider than a narrow piece shows both its edges.
_ROOM = 1.12
_STEPS = 24


def telling_window(worked: Worked) -> Window:
    """Return the square that shows most of what a piece is made of.

    Returns
    -------
    Left, top, right and bottom in mm.

    Notes
    -----
    Of all squares on a fine grid the one is taken that holds the largest sum of
    ``log(1 + stitches)`` over the techniques, so a second technique counts for more than more of
    the first; of equals the one nearest to the middle.
    """
    holes = worked.plan.pricking.holes
    low, high = holes.min(axis=0), holes.max(axis=0)
    size, middle = high - low, (low + high) / 2
    side = _side(size, worked.gauge.diameter_mm)
    corners = _corners(low, size, side)
    score = np.zeros(len(corners))
    words = np.array([kind_of(word) for word in worked.plan.technique])
    for word in np.unique(words):
        score += np.log1p(_held(worked.plan.at[words == word], corners, side))
    away = np.linalg.norm(corners + side / 2 - middle, axis=1)
    # Stitches lie between holes: a score that differs by less than this is the same.
    best = np.lexsort((np.round(away, 6), -np.round(score, 6)))[0]
    left, top = (float(value) for value in corners[best])
    return left, top, left + side, top + side


def _side(size: np.ndarray, diameter: float) -> float:
    """Return the side of the square: close enough for the stitches, no wider than the piece."""
    wanted = DIAMETERS_ACROSS * diameter
    shorter, longer = _ROOM * size.min() + 2 * diameter, _ROOM * size.max() + 2 * diameter
    return float(min(wanted, longer, max(shorter, wanted / 2)))


def _corners(low: np.ndarray, size: np.ndarray, side: float) -> np.ndarray:
    """Return (n, 2) left and top corners; where the piece is narrower it stands in the middle."""
    along = []
    for first, length in zip(low.tolist(), size.tolist(), strict=True):
        slack = length - side
        along.append(
            np.array([first + slack / 2])
            if slack <= 0
            else first + np.linspace(0, slack, _STEPS + 1)
        )
    return np.stack(np.meshgrid(*along, indexing="ij"), axis=-1).reshape(-1, 2)


def _held(at: np.ndarray, corners: np.ndarray, side: float) -> np.ndarray:
    """Return for each square how many points it holds."""
    return np.array([np.all((at >= c) & (at <= c + side), axis=1).sum() for c in corners])

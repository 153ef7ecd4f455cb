"""What can be seen of threads, without any light: which is on top, and how much they cover."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from render.shade.batch import Strip, batch
from render.shade.layers import Layer, layers
from render.shade.look import Look
from render.shade.material import Material
from render.shade.pieces import cut
from render.shade.twist import outline, twist
from render.shade.view import View
from render.threads.model import ThreadPaths

ROUND = Material("round", 1, "S", 4.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.5, 0.0, 0.5)

_ROWS = 256


def threads_seen(paths: ThreadPaths, view: View) -> NDArray[np.int32]:
    """Return the (height, width) number of the nearest thread over each pixel's centre.

    Parameters
    ----------
    paths
        The threads, taken as round.
    view
        The pixels.

    Returns
    -------
    (height, width) thread numbers, -1 where there is none.
    """
    seen = np.full((view.height, view.width), -1, np.int32)
    for strip, found, thread in _strips(paths, view):
        part = seen[strip.top : strip.top + strip.rows].reshape(-1)
        for layer in reversed(found):
            centre = np.flatnonzero(layer.centre)
            part[layer.pixel[centre]] = thread[layer.piece[centre]]
    return seen


def coverage(paths: ThreadPaths, view: View) -> NDArray[np.float32]:
    """Return the (height, width) part of each pixel that threads cover, 0 to 1.

    Parameters
    ----------
    paths
        The threads, taken as round.
    view
        The pixels.
    """
    bare = np.ones((view.height, view.width), np.float32)
    for strip, found, _ in _strips(paths, view):
        part = bare[strip.top : strip.top + strip.rows].reshape(-1)
        for layer in found:
            part[layer.pixel] -= layer.share
    return 1 - bare


def _strips(
    paths: ThreadPaths, view: View
) -> Iterator[tuple[Strip, list[Layer], NDArray[np.int32]]]:
    """Look at a view a few rows at a time: strip, layers, and the thread of each piece."""
    made_of = np.zeros(len(paths.radius), np.int64)
    look = Look(np.zeros((len(made_of), 3), np.float32), (ROUND,), made_of)
    pieces = cut(paths, view, look.table_mm(paths.radius))
    wide = outline((ROUND,), (twist(ROUND, 1.0),), made_of, pieces.radius)
    for top in range(0, view.height, _ROWS):
        strip = Strip(top, 0, min(_ROWS, view.height - top), view.width)
        seen = batch(pieces, strip, wide)
        yield strip, layers(seen, strip, wide), seen.thread

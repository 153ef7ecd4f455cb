"""Threads, their looks and the light, made ready to be seen strip by strip."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.shade.hairs import grow
from render.shade.lift import Lift, lift
from render.shade.light import Light
from render.shade.look import Look
from render.shade.pieces import Pieces, cut
from render.shade.relief import Reach, reach
from render.shade.twist import Outline, Twist, outline, twist
from render.shade.view import View
from render.threads.model import ThreadPaths


@dataclass(frozen=True, eq=False)
class Stage:
    """What every strip of a picture shares.

    Attributes
    ----------
    pieces
        The threads, cut for the view.
    look
        Colours and materials.
    tables
        The twist of each material, as fine as the view needs it.
    outline
        How wide the threads are.
    light
        The light they lie in.
    far
        How far light and shade carry.
    card
        Height in pixels of the card, or of the lowest thread where the lace floats above it.
    lift
        Where the shadow of floating lace falls; None if the lace lies on its card.
    samples
        How many of the view's pixels across will be one of the picture.
    """

    pieces: Pieces
    look: Look
    tables: tuple[Twist, ...]
    outline: Outline
    light: Light
    far: Reach
    card: float
    lift: Lift | None
    samples: int

    @property
    def halo(self) -> int:
        """Pixels around a strip that matter to it."""
        return max(self.far.halo, self.lift.halo if self.lift else 0)


def set_stage(
    paths: ThreadPaths,
    view: View,
    look: Look,
    light: Light,
    *,
    lift_mm: float = 0.0,
    hairs: bool = False,
    samples: int = 1,
) -> Stage:
    """Make threads ready to be drawn.

    Parameters
    ----------
    paths
        The threads.
    view
        The pixels they are seen in.
    look
        What they look like.
    light
        The light they lie in.
    lift_mm
        How far they float above the card.
    hairs
        Whether loose fibre ends are drawn.
    samples
        How many of the view's pixels across will be one of the picture: what that cannot show
        is left out.
    """
    low, high = (z * view.scale for z in _extent_mm(paths))
    usual = _usual(paths.radius) * view.scale
    if hairs and len(paths.radius):
        paths, look = grow(paths, look, view)
    pieces = cut(paths, view, look.table_mm(paths.radius))
    tables = tuple(
        twist(material, _usual(pieces.radius[look.made_of == m]))
        for m, material in enumerate(look.materials)
    )
    # A gap thinner than a thread cannot be told from lace that lies on its card.
    raised = lift_mm * view.scale
    floats = raised > 2 * usual
    return Stage(
        pieces,
        look,
        tables,
        outline(look.materials, tables, look.made_of, pieces.radius),
        light,
        reach(usual, high - low, light),
        low,
        lift(raised, light) if floats else None,
        samples,
    )


def _usual(radius: NDArray[np.floating]) -> float:
    return float(np.median(radius)) if len(radius) else 1.0


def _extent_mm(paths: ThreadPaths) -> tuple[float, float]:
    """Return the lowest and the highest point of the lace, but for a few stray ones."""
    if len(paths.points) == 0:
        return 0.0, 0.0
    radius = np.repeat(paths.radius, np.diff(paths.starts))
    z = paths.points[:, 2]
    return float(np.percentile(z - radius, 0.2)), float(np.percentile(z + radius, 99.8))

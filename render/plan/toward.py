"""Which way ground is worked, and where ground that closes round a centre begins."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.plan.direction import drawn_directions
from render.pricking.model import Pricking

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

# Holes this near a drawn direction, in spacings, are worked along it; the rest follows the lattice.
NEAR = 1.5
# Ground closes round where its working directions come to less than this share of their number, and
# its holes leave no wider gap as seen from the middle.
TURNED, WIDEST_GAP = 0.35, np.deg2rad(45)


@dataclass(frozen=True, eq=False)
class Directions:
    """Which way the work should proceed.

    Attributes
    ----------
    toward
        (N, 2) unit vectors.
    told
        (N,) where that is certain; elsewhere the lattice tells by its own turning.
    drawn
        Whether a direction was drawn in ground.
    """

    toward: Points
    told: NDArray[np.bool_]
    drawn: bool = False


def directions_on_card(pricking: Pricking) -> Directions:
    """Return the working direction of the piece, and near a line drawn in ground that of the line.

    A direction counts for the region of ground in which it is drawn.
    """
    count = len(pricking.holes)
    toward, told = np.tile(pricking.down, (count, 1)), np.ones(count, bool)
    drawn = False
    for number, lines in drawn_directions(pricking).of.items():
        area = pricking.areas[number]
        if area.stitch != "ground":
            continue
        held = np.concatenate([area.edge, area.inside])
        ways, apart = zip(*(_along(line.path, pricking.holes[held]) for line in lines), strict=True)
        nearest = np.argmin(apart, axis=0)
        rows = np.arange(len(held))
        toward[held] = np.array(ways)[nearest, rows]
        told[held] = np.min(apart, axis=0) <= NEAR * pricking.spacing[held]
        drawn = True
    return Directions(toward, told, drawn)


def round_centre(holes: Points, down: Points) -> Points | None:
    """Return the (2,) middle of ground that closes round it, None where it does not."""
    if len(holes) < 12 or np.hypot(*down.mean(axis=0)) > TURNED:
        return None
    centre = (holes.min(axis=0) + holes.max(axis=0)) / 2
    angle = np.sort(np.arctan2(*(holes - centre).T[::-1]))
    gaps = np.diff(np.append(angle, angle[0] + 2 * np.pi))
    return centre if gaps.max() < WIDEST_GAP else None


def round_about(holes: Points, centre: Points) -> Directions:
    """Return directions round a centre, the way the hand of a clock goes."""
    away = holes - centre
    size = np.maximum(np.hypot(*away.T), 1e-9)[:, None]
    # With y down the page (-y, x) runs clockwise.
    toward = np.stack([-away[:, 1], away[:, 0]], axis=1) / size
    return Directions(toward, np.ones(len(holes), bool))


def across_seam(holes: Points, ends: Indices, centre: Points, down: Points) -> NDArray[np.bool_]:
    """Tell which links (K, 2) cross the line from a centre up against the working direction."""
    right = np.array([down[1], -down[0]])
    # Laid a hair aside, so that a hole on the line lies on one side of it.
    across = (holes - centre) @ right + 1e-6
    height = -(holes - centre) @ down
    a, b = ends.T
    span = across[a] - across[b]
    share = across[a] / np.where(span == 0, 1.0, span)
    above = height[a] + share * (height[b] - height[a])
    return np.asarray((across[a] * across[b] < 0) & (above > 0))


def _along(path: Points, spots: Points) -> tuple[Points, NDArray[np.float64]]:
    """Return the unit vectors along a path nearest to (n, 2) spots, and how far away it lies."""
    way = np.diff(path, axis=0)
    length = np.maximum(np.hypot(*way.T), 1e-12)
    share = ((spots[:, None] - path[:-1]) * way).sum(axis=2) / length**2
    near = path[:-1] + np.clip(share, 0, 1)[:, :, None] * way
    apart = np.linalg.norm(spots[:, None] - near, axis=2)
    nearest = apart.argmin(axis=1)
    return way[nearest] / length[nearest, None], apart.min(axis=1)

"""Figures in ground: those whose outline goes up and down more than once, and fans."""

import numpy as np
import shapely

from tests.pieces import lattice_places, pricked, region, spots

HEART = [(5, 3), (8, 6), (11, 3), (14, 6), (8, 12), (2, 6)]
FEET = [(8, 2), (14, 8), (11, 11), (8, 8), (5, 11), (2, 8)]
CROSSED = [(4, 2), (8, 6), (12, 2), (14, 4), (10, 8), (14, 12), (12, 14), (8, 10), (4, 14),
           (2, 12), (6, 8), (2, 4)]  # fmt: skip
# Flat between its horns, over three pins.
MOON = [(2, 4), (6, 8), (10, 8), (14, 4), (14, 8), (10, 12), (6, 12), (2, 8)]
CROWN = [(2, 5), (5, 8), (8, 3), (11, 8), (14, 5), (11, 14), (5, 14)]


def figure(corners, stitch="whole", **heading):
    """Return ground of 17 by 17 with a figure of such corners, (column, row)."""
    shape = shapely.Polygon(corners)
    places = lattice_places(17, 17, lambda c, r: shape.contains(shapely.Point(c, r)))
    return pricked(spots(places), [region(spots(corners), stitch, "figure")], **heading)


def fan(rim, height=12, deep=3.0):
    """Return ground with a fan on its left that has so many pins on its rim.

    Its inner edge follows the ground out to a point and back, its rim a half wave.
    """
    inner = [(1 + min(r, height - r), r) for r in range(height + 1)]
    share = np.arange(1, rim + 1) / (rim + 1)
    outer = np.column_stack([1 - deep * np.sin(np.pi * share), height * share])
    places = lattice_places(10, height + 1, lambda c, r: c < inner[r][0])
    fan = region(spots(np.vstack([inner, outer[::-1]])), "whole", "fan")
    return pricked(np.vstack([spots(places), spots(outer)]), [fan])

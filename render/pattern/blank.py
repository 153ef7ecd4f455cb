"""Shapes that mark nothing: backgrounds, and outlines of what was filled before."""

import numpy as np
from numpy.typing import NDArray

from render.colour.difference import ciede2000
from render.colour.lab import lab_from_srgb
from render.pattern.contours import Contour
from render.pattern.page import Page
from render.pattern.style import Paint
from render.pattern.walk import Drawn

Points = NDArray[np.float64]

WHITE_LAB = np.array([100.0, 0.0, 0.0])
PAPER = 5.0  # CIEDE2000 from white
SAME_OUTLINE_MM = 0.01


def is_background(drawn: Drawn, contour: Contour, page: Page, fill: Paint) -> bool:
    """Tell whether a shape is a white or empty rectangle over the whole page."""
    if "stitch" in drawn.words or not page.is_covered_by(contour.points):
        return False
    if fill.srgb is None:
        return not fill.shown
    return bool(ciede2000(lab_from_srgb(fill.srgb), WHITE_LAB) <= PAPER)


def is_outline_of(before: Points, drawn: Drawn, outline: Points, fill: Paint) -> bool:
    """Tell whether a shape only strokes a region that was filled before it.

    Some programs write the fill and the stroke of a shape one after the other.
    """
    if "stitch" in drawn.words or fill.shown:
        return False
    return before.shape == outline.shape and bool(np.abs(before - outline).max() <= SAME_OUTLINE_MM)

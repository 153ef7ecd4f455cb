"""Draw a marked pricking."""

from collections.abc import Mapping

import numpy as np

from render.pattern.key import LINE_SHADES, STITCH_SHADES
from render.sheets.ink import BLACK, GREY, WHITE, Ink
from render.sheets.model import Arrow, Drawing, Mark, Patch

HOLE_MM = 0.35
# A colouring stops this far from the middles of the holes.
INSIDE_MM = 0.7
_ABOVE_MM = 3.2


def draw_pricking(
    ink: Ink, drawing: Drawing, *, mono: bool, words: Mapping[str, str], marks: bool = True
) -> None:
    """Draw holes, areas, lines and marks at true size from the current origin.

    Parameters
    ----------
    mono
        Leave areas white, to be coloured by hand, and write their stitch in them.
    words
        What to write in an area, by its stitch, where it is not coloured.
    marks
        Whether to show where pairs come and go, and the order of the areas.
    """
    for patch in drawing.patches:
        if mono:
            ink.shape(patch.contours, edge=GREY, width=0.15)
        else:
            ink.wash(patch.contours, STITCH_SHADES[patch.stitch], inside=INSIDE_MM)
    for word, points in drawing.lines:
        dashes = (1.5, 0.8) if mono else ()
        ink.line(points, width=0.35, colour=GREY if mono else LINE_SHADES[word], dashes=dashes)
    for x, y in drawing.holes.tolist():
        ink.dot(x, y, HOLE_MM)
    if marks:
        for patch in drawing.patches:
            _label(ink, patch, words.get(patch.stitch, patch.stitch) if mono else "")
        for one in drawing.arrows:
            draw_arrow(ink, one)
        for mark in drawing.marks:
            draw_mark(ink, mark)


def draw_mark(ink: Ink, mark: Mark) -> None:
    """Mark where pairs come or go: a full wedge brings pairs, an empty one takes them away."""
    x, y = mark.at
    brings = mark.kind in ("start", "in")
    y += -_ABOVE_MM if brings else _ABOVE_MM - 1.4
    wedge = np.array([[x - 0.8, y], [x + 0.8, y], [x, y + 1.4]])
    ink.shape([wedge], fill=BLACK if brings else WHITE, edge=BLACK, width=0.15)
    sign = {"start": "", "in": "+", "out": "−", "end": ""}[mark.kind]
    ink.text(x, y - 0.4 if brings else y + 3.2, f"{sign}{mark.pairs}", size=2.0, align=0.5)


def draw_arrow(ink: Ink, one: Arrow) -> None:
    """Draw the way of a pair into an area or out of it."""
    tail, tip = np.array(one.tail), np.array(one.tip)
    along = (tip - tail) / np.hypot(*(tip - tail))
    beside = np.array([-along[1], along[0]])
    back = tip - 0.7 * along
    ink.line(np.array([tail, back]), width=0.12)
    ink.shape([np.array([tip, back + 0.3 * beside, back - 0.3 * beside])], fill=BLACK)


def _label(ink: Ink, patch: Patch, word: str) -> None:
    """Write an area's number, in a ring, and its stitch in the middle of its holes."""
    x, y = _middle(patch)
    if patch.number:
        ink.dot(x, y, 2.0, fill=WHITE, edge=BLACK)
        ink.text(x, y + 0.95, str(patch.number), size=2.6, bold=True, align=0.5)
    if word:
        ink.text(x, y + 4.6, word, size=2.2, align=0.5)


def _middle(patch: Patch) -> tuple[float, float]:
    """Return a spot on the area itself: half way across its widest level part near its middle."""
    outline = patch.contours[0]
    low, high = outline[:, 1].min(), outline[:, 1].max()
    best = (0.0, float(outline[:, 0].mean()), float(outline[:, 1].mean()))
    for part in (0.5, 0.45, 0.55, 0.4, 0.6):
        y = float(low + part * (high - low))
        cuts = _cuts(patch, y)
        for a, b in zip(cuts[::2], cuts[1::2], strict=False):
            best = max(best, (round(b - a, 3), (a + b) / 2, y), key=lambda spot: spot[0])
    return best[1], best[2]


def _cuts(patch: Patch, y: float) -> list[float]:
    """Return where a level line crosses the contours, from the left."""
    cuts: list[float] = []
    for contour in patch.contours:
        following = np.roll(contour, -1, axis=0)
        crossed = (contour[:, 1] > y) != (following[:, 1] > y)
        a, b = contour[crossed], following[crossed]
        cuts += (a[:, 0] + (y - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0])).tolist()
    return sorted(cuts)

"""Draw a marked pricking."""

from collections.abc import Mapping

import numpy as np

from render.geometry.polygon import contains
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
            draw_mark(ink, mark, side=_outer_side(drawing, mark))


def draw_mark(ink: Ink, mark: Mark, *, side: int = 1) -> None:
    """Mark where pairs come or go: a full wedge brings pairs, an empty one takes them away.

    Parameters
    ----------
    side
        Where a pair that comes or goes on the way is marked: 1 to the right of its hole, -1 to
        the left.
    """
    x, y = mark.at
    brings = mark.kind in ("start", "in")
    if mark.kind in ("in", "out"):
        tip, base = (x + 0.7 * side, x + 1.9 * side)[:: 1 if brings else -1]
        wedge = np.array([[base, y - 0.7], [base, y + 0.7], [tip, y]])
        words = f"{'+' if brings else '−'}{mark.pairs}"
        ink.text(x + 2.3 * side, y + 0.7, words, size=2.0, align=0.0 if side > 0 else 1.0)
    else:
        y += -_ABOVE_MM if brings else _ABOVE_MM - 1.4
        wedge = np.array([[x - 0.8, y], [x + 0.8, y], [x, y + 1.4]])
        ink.text(x, y - 0.4 if brings else y + 3.2, str(mark.pairs), size=2.0, align=0.5)
    ink.shape([wedge], fill=BLACK if brings else WHITE, edge=BLACK, width=0.15)


def _outer_side(drawing: Drawing, mark: Mark) -> int:
    """Return on which side of a mark there is no area: 1 the right, -1 the left."""
    beside = np.add(mark.at, [(2.0, 0.0)])
    return -1 if any(contains(p.contours, beside).any() for p in drawing.patches) else 1


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

"""Page one: what the piece will look like, its marked pricking, and what it takes."""

from collections.abc import Mapping
from dataclasses import dataclass

from render.sheets.ink import GREY, Ink, fit
from render.sheets.model import Sheet
from render.sheets.pricking import draw_pricking

_MARGIN = 15.0
_PICTURE_TOP, _PICTURE_HEIGHT = 26.0, 128.0
_SIZE, _LINE_MM = 2.45, 3.7


@dataclass(frozen=True, eq=False)
class FrontPage:
    """The first page of a sheet."""

    sheet: Sheet
    size: tuple[float, float]
    mono: bool
    words: Mapping[str, str]
    place: str = "picture and figures"

    def draw(self, ink: Ink) -> None:
        """Draw the page."""
        ink.text(_MARGIN, 16, self.sheet.title, size=6, bold=True)
        if self.sheet.maker:
            ink.text(_MARGIN, 21.5, self.sheet.maker, size=3.2, colour=GREY)
        half = (ink.width - 2 * _MARGIN - 6) / 2
        left = (_MARGIN, _PICTURE_TOP, half, _PICTURE_HEIGHT)
        right = (_MARGIN + half + 6, _PICTURE_TOP, half, _PICTURE_HEIGHT)
        ink.picture(self.sheet.preview, left)
        self._small_pricking(ink, right)
        below = _PICTURE_TOP + _PICTURE_HEIGHT + 5
        ink.text(left[0], below, "As worked (computed)", size=2.6, colour=GREY)
        ink.text(right[0], below, "The marked pricking, reduced", size=2.6, colour=GREY)
        y = below + 8
        first, *others = self.sheet.figures
        ink.text(_MARGIN, y, first, size=3.4, bold=True)
        y += _LINE_MM + 1
        for words in others:
            for line in ink.wrapped(words, ink.width - 2 * _MARGIN, size=_SIZE, even=True):
                ink.text(_MARGIN, y, line, size=_SIZE, even=True)
                y += _LINE_MM

    def _small_pricking(self, ink: Ink, box: tuple[float, float, float, float]) -> None:
        left, top, right, bottom = self.sheet.drawing.bounds
        x, y, scale = fit((right - left, bottom - top), box)
        scale_one = min(scale, 1.0)
        if scale > 1:
            x = box[0] + (box[2] - (right - left)) / 2
            y = box[1] + (box[3] - (bottom - top)) / 2
        with ink.kept():
            ink.move(x, y, scale_one)
            ink.move(-left, -top)
            draw_pricking(ink, self.sheet.drawing, mono=self.mono, words=self.words, marks=False)

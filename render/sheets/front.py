"""Page one: what the piece will look like, its marked pricking, and what it takes."""

from collections.abc import Mapping
from dataclasses import dataclass

from render.sheets.ink import GREY, Ink, fit
from render.sheets.model import Sheet
from render.sheets.pricking import draw_pricking

_MARGIN = 15.0
_PICTURE_TOP, _PICTURE_HEIGHT = 26.0, 128.0
_CAPTION_MM = 5.0
_SIZE, _LINE_MM = 2.45, 3.7

Box = tuple[float, float, float, float]


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
        first_box, second_box = self._boxes(ink.width - 2 * _MARGIN)
        ink.picture(self.sheet.preview, first_box)
        self._small_pricking(ink, second_box)
        for (x, y, _, height), words in (
            (first_box, "As worked (computed)"),
            (second_box, "The marked pricking, small"),
        ):
            ink.text(x, y + height + _CAPTION_MM, words, size=2.6, colour=GREY)
        y = _PICTURE_TOP + _PICTURE_HEIGHT + _CAPTION_MM + 8
        first, *others = self.sheet.figures
        ink.text(_MARGIN, y, first, size=3.4, bold=True)
        y += _LINE_MM + 1
        for words in others:
            for line in ink.wrapped(words, ink.width - 2 * _MARGIN, size=_SIZE, even=True):
                ink.text(_MARGIN, y, line, size=_SIZE, even=True)
                y += _LINE_MM

    def _boxes(self, width: float) -> tuple[Box, Box]:
        """Return where the picture and the pricking stand: side by side unless they are wide."""
        rows, columns = self.sheet.preview.shape[:2]
        if columns > rows:
            height = (_PICTURE_HEIGHT - _CAPTION_MM - 3) / 2
            lower = _PICTURE_TOP + _PICTURE_HEIGHT - height
            return (_MARGIN, _PICTURE_TOP, width, height), (_MARGIN, lower, width, height)
        half = (width - 6) / 2
        right = _MARGIN + half + 6
        return (
            (_MARGIN, _PICTURE_TOP, half, _PICTURE_HEIGHT),
            (right, _PICTURE_TOP, half, _PICTURE_HEIGHT),
        )

    def _small_pricking(self, ink: Ink, box: Box) -> None:
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

"""Pages that are drawn on in millimetres, as PDF, SVG or pixels.

The drawing library is fetched when the first page is opened, so that all else works without it.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib import import_module
from math import pi
from typing import Any

import numpy as np
from numpy.typing import NDArray

from render.colour.srgb import parse_colour
from render.errors import OutputError

PT_PER_MM = 72 / 25.4
BLACK, GREY, WHITE = "#000000", "#808080", "#ffffff"
_FONT, _EVEN_FONT = "DejaVu Sans", "DejaVu Sans Mono"
_ROUND = 1


def drawing_library() -> Any:
    """Return the library that draws pages.

    Raises
    ------
    OutputError
        Where it is not installed.
    """
    try:
        return import_module("cairocffi")
    except (ImportError, OSError) as error:
        raise OutputError(
            "sheets need the cairo library, which was not found: install it with apt install "
            "libcairo2, dnf install cairo or brew install cairo (Windows: the GTK runtime has it)"
        ) from error


class Ink:
    """A pen on one page; all lengths are mm from its upper left corner."""

    def __init__(self, surface: Any, per_mm: float, size_mm: tuple[float, float]) -> None:
        self.library = drawing_library()
        self.context = self.library.Context(surface)
        self.context.scale(per_mm, per_mm)
        self.width, self.height = size_mm
        options = self.library.FontOptions(
            hint_style=self.library.HINT_STYLE_NONE, hint_metrics=self.library.HINT_METRICS_OFF
        )
        self.context.set_font_options(options)

    def text(
        self,
        x: float,
        y: float,
        words: str,
        *,
        size: float = 2.8,
        bold: bool = False,
        even: bool = False,
        colour: str = BLACK,
        align: float = 0.0,
    ) -> None:
        """Write words on a base line; `align` is the part of their width left of x.

        With `even`, all letters are equally wide, so that columns stand below each other.
        """
        self._choose(size, bold, even)
        self._colour(colour)
        self.context.move_to(x - align * self._width(words), y)
        self.context.show_text(words)

    def wrapped(
        self, words: str, width: float, *, size: float = 2.8, even: bool = False
    ) -> list[str]:
        """Break words into lines no wider than a width; spaces within a line are kept."""
        self._choose(size, False, even)
        lines, line = [], ""
        indent = " " * (len(words) - len(words.lstrip()))
        for word in words[len(indent) :].split(" "):
            longer = f"{line} {word}" if line else indent + word
            if line and self._width(longer) > width:
                lines.append(line)
                line = indent + "    " + word
            else:
                line = longer
        return [*lines, line]

    def line(
        self,
        points: Sequence[Sequence[float]] | NDArray[np.float64],
        *,
        width: float = 0.2,
        colour: str = BLACK,
        dashes: Sequence[float] = (),
    ) -> None:
        """Draw a line."""
        self._path([np.asarray(points, float)], closed=False)
        self._stroke(width, colour, dashes)

    def shape(
        self,
        contours: Sequence[NDArray[np.float64]],
        *,
        fill: str | None = None,
        edge: str | None = None,
        width: float = 0.2,
    ) -> None:
        """Fill a shape with its inner contours left open, and draw its edge."""
        self.context.set_fill_rule(self.library.FILL_RULE_EVEN_ODD)
        self._path(contours, closed=True)
        if fill:
            self._colour(fill)
            self.context.fill_preserve()
        if edge:
            self._stroke(width, edge, ())
        self.context.new_path()

    def wash(self, contours: Sequence[NDArray[np.float64]], colour: str, *, inside: float) -> None:
        """Colour a shape up to a little inside its edge."""
        with self.kept():
            self.context.set_fill_rule(self.library.FILL_RULE_EVEN_ODD)
            self._path(contours, closed=True)
            self.context.clip()
            self.shape(contours, fill=colour)
            self.shape(contours, edge=WHITE, width=2 * inside)

    def dot(
        self,
        x: float,
        y: float,
        radius: float,
        *,
        fill: str | None = BLACK,
        edge: str | None = None,
    ) -> None:
        """Draw a round dot."""
        self.context.new_path()
        self.context.arc(x, y, radius, 0, 2 * pi)
        if fill:
            self._colour(fill)
            self.context.fill_preserve()
        if edge:
            self._stroke(0.2, edge, ())
        self.context.new_path()

    def picture(
        self, rows: NDArray[np.uint8], box: tuple[float, float, float, float]
    ) -> tuple[float, float, float]:
        """Lay an RGB picture as large as it fits into x, y, width, height; return x, y, scale."""
        height, width = rows.shape[:2]
        x, y, scale = fit((width, height), box)
        pixels = np.zeros((height, width, 4), np.uint8)
        pixels[..., :3] = rows[..., 2::-1]
        image = self.library.ImageSurface.create_for_data(
            bytearray(pixels.tobytes()), self.library.FORMAT_RGB24, width, height, 4 * width
        )
        with self.kept():
            self.context.translate(x, y)
            self.context.scale(scale, scale)
            self.context.set_source_surface(image, 0, 0)
            self.context.paint()
        return x, y, scale

    @contextmanager
    def kept(self) -> Iterator[None]:
        """Undo clips and moves afterwards."""
        self.context.save()
        try:
            yield
        finally:
            self.context.restore()

    def clip(self, x: float, y: float, width: float, height: float) -> None:
        """Draw nothing outside a box."""
        self.context.rectangle(x, y, width, height)
        self.context.clip()

    def move(self, x: float, y: float, scale: float = 1.0) -> None:
        """Move the origin, then scale."""
        self.context.translate(x, y)
        self.context.scale(scale, scale)

    def _choose(self, size: float, bold: bool, even: bool) -> None:
        weight = self.library.FONT_WEIGHT_BOLD if bold else self.library.FONT_WEIGHT_NORMAL
        font = _EVEN_FONT if even else _FONT
        self.context.select_font_face(font, self.library.FONT_SLANT_NORMAL, weight)
        self.context.set_font_size(size)

    def _width(self, words: str) -> float:
        return float(self.context.text_extents(words)[4])

    def _path(self, contours: Sequence[NDArray[np.float64]], *, closed: bool) -> None:
        self.context.new_path()
        for contour in contours:
            for n, (x, y) in enumerate(contour.tolist()):
                (self.context.line_to if n else self.context.move_to)(x, y)
            if closed:
                self.context.close_path()

    def _stroke(self, width: float, colour: str, dashes: Sequence[float]) -> None:
        self._colour(colour)
        self.context.set_line_width(width)
        self.context.set_line_join(_ROUND)
        self.context.set_dash(list(dashes))
        self.context.stroke()

    def _colour(self, colour: str) -> None:
        self.context.set_source_rgb(*(float(part) for part in parse_colour(colour)))


def fit(
    size: tuple[float, float], box: tuple[float, float, float, float]
) -> tuple[float, float, float]:
    """Return x, y and scale of something laid centred into a box, as large as it fits."""
    left, top, width, height = box
    scale = min(width / size[0], height / size[1])
    return left + (width - scale * size[0]) / 2, top + (height - scale * size[1]) / 2, scale

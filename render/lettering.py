"""Letters on pictures, from a typeface that is always there."""

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from render.image.background import Background
from render.pattern.model import Label
from render.shade.view import View

Colour = tuple[int, int, int]
Rows = NDArray[np.uint8]
INK: Colour = (32, 32, 32)
PALE_INK: Colour = (224, 224, 224)
# Where a line of text is held, for Pillow: at its beginning, middle or end, on its base line.
_HELD = {"start": "ls", "middle": "ms", "end": "rs"}
# Room under the base line, as a share of the size.
_BELOW = 0.3
_ELLIPSIS = "..."


def text_width(text: str, size: int) -> int:
    """Return how many pixels wide a line of text is."""
    return round(_typeface(size).getlength(text))


def line_height(size: int) -> int:
    """Return the pixels from one line of text to the next."""
    return round(size * 1.35)


def letter(
    draw: ImageDraw.ImageDraw, at: tuple[int, int], text: str, size: int, ink: Colour = INK
) -> None:
    """Write one line of text, its top left corner at a pixel (x, y)."""
    draw.text(at, text, fill=ink, font=_typeface(size))


def shortened(text: str, size: int, width: int) -> str:
    """Return a text cut off at its end, where it is wider than so many pixels."""
    if text_width(text, size) <= width:
        return text
    while text and text_width(text + _ELLIPSIS, size) > width:
        text = text[:-1]
    return text.rstrip() + _ELLIPSIS


def wrapped(text: str, size: int, width: int) -> list[str]:
    """Return a text as lines no wider than so many pixels, broken between words."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, size) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return [shortened(line, size, width) for line in lines]


def room_for(label: Label, scale: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the upper left and the lower right corner of a label in mm, at so many pixels a mm."""
    width = text_width(label.text, _pixels(label, scale)) / scale
    left = label.at[0] - width * {"start": 0.0, "middle": 0.5, "end": 1.0}[label.anchor]
    low = np.array([left, label.at[1] - label.size_mm])
    return low, low + np.array([width, (1 + _BELOW) * label.size_mm])


def ink_on(background: Background) -> Colour:
    """Return an ink that can be read on a background."""
    colour = getattr(background, "colour", None)
    dark = colour is not None and float(np.mean(colour)) < 0.4
    return PALE_INK if dark else INK


def write_labels(
    bands: Iterable[Rows], labels: Sequence[Label], view: View, ink: Colour = INK
) -> Iterator[Rows]:
    """Write labels over a picture, band by band.

    Parameters
    ----------
    bands
        (rows, width, 3 or 4) from top to bottom.
    labels
        What is written.
    view
        Where the picture's pixels lie.
    ink
        The colour of the letters.
    """
    top = 0
    for band in bands:
        picture = Image.fromarray(band)
        draw = ImageDraw.Draw(picture)
        for label in labels:
            size = _pixels(label, view.scale)
            x, y = (label.at[0] - view.left) * view.scale, (label.at[1] - view.top) * view.scale
            if top <= y + _BELOW * size and y - size < top + len(band):
                spot = (round(x), round(y) - top)
                face = _typeface(size)
                draw.text(spot, label.text, fill=ink, font=face, anchor=_HELD[label.anchor])
        top += len(band)
        yield np.asarray(picture)


def _pixels(label: Label, scale: float) -> int:
    return max(1, round(label.size_mm * scale))


@lru_cache(maxsize=16)
def _typeface(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    """Return Pillow's own typeface, which needs no fonts on the machine."""
    return ImageFont.load_default(size)

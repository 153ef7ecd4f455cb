"""Letters on pictures, from a typeface that is always there."""

from functools import lru_cache

from PIL import ImageDraw, ImageFont

Colour = tuple[int, int, int]
INK: Colour = (32, 32, 32)
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


@lru_cache(maxsize=16)
def _typeface(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    """Return Pillow's own typeface, which needs no fonts on the machine."""
    return ImageFont.load_default(size)

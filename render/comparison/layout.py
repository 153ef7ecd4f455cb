"""Set pictures out on a sheet, each with its name beneath."""

from collections.abc import Sequence

import numpy as np
from PIL import Image, ImageDraw

from render.comparison.model import Cell, Choices
from render.lettering import letter, line_height, text_width, wrapped

PAPER = (250, 250, 248)
_LEAST_WIDTH = 240
_SQUARE, _GREYS = 10, (132, 160)
_LARGEST, _SMALLEST = 28, 15


def lay_out(
    title: str, images: Sequence[Image.Image], choices: Choices, gauges_mm: Sequence[float]
) -> Image.Image:
    """Return a sheet of named pictures under a title.

    Parameters
    ----------
    title
        What the piece is called.
    images
        One for each cell, in their order and all of one size.
    choices
        What is compared; what all cells share is said once, under the title.
    gauges_mm
        The diameter that each gauge of the choices came to.

    Returns
    -------
    An RGB picture.
    """
    wide, high = images[0].size
    size = min(_LARGEST, max(_SMALLEST, round(max(wide, high) / 26)))
    gap, line = size, line_height(size)
    pitch = max(wide, _LEAST_WIDTH) + gap
    names = [wrapped(cell_name(c, choices, gauges_mm), size, pitch - gap) for c in choices.cells]
    columns = choices.columns
    width = gap + pitch * columns
    heading = wrapped(title, size + 6, width - 2 * gap)
    shared = wrapped(shared_name(choices, gauges_mm), size, width - 2 * gap)
    top = gap + line_height(size + 6) * len(heading) + line * len(shared) + gap
    step = high + line * max(map(len, names)) + 2 * gap
    sheet = Image.new("RGB", (width, top + step * -(-len(images) // columns)), PAPER)
    draw = ImageDraw.Draw(sheet)
    _write(draw, (gap, gap), heading, size + 6)
    _write(draw, (gap, gap + line_height(size + 6) * len(heading)), shared, size)
    for number, (image, name) in enumerate(zip(images, names, strict=True)):
        row, column = divmod(number, columns)
        x, y = gap + pitch * column, top + step * row
        x += (pitch - gap - wide) // 2
        sheet.paste(_on_squares(image) if image.mode == "RGBA" else image, (x, y))
        for k, text in enumerate(name):
            middle = x + (wide - text_width(text, size)) // 2
            letter(draw, (middle, y + high + gap // 3 + k * line), text, size)
    return sheet


def cell_name(cell: Cell, choices: Choices, gauges_mm: Sequence[float]) -> str:
    """Return what sets a picture apart from the others."""
    said = _said(cell, choices, gauges_mm)
    apart = [text for text, varies in zip(said, choices.varied, strict=True) if varies]
    return ", ".join(apart or said[3:])


def shared_name(choices: Choices, gauges_mm: Sequence[float]) -> str:
    """Return what all pictures have in common."""
    said = _said(Cell(0, 0, 0, 0), choices, gauges_mm)
    return ", ".join(text for text, varies in zip(said, choices.varied, strict=True) if not varies)


def _said(cell: Cell, choices: Choices, gauges_mm: Sequence[float]) -> tuple[str, str, str, str]:
    """Return a cell's variant, gauge, background and thread in words."""
    return (
        choices.variants[cell.variant].name,
        f"{gauges_mm[cell.gauge]:.2f} mm thick",
        f"on {choices.backgrounds[cell.background][0]}",
        f"thread {choices.threads[cell.thread][0]}",
    )


def _on_squares(image: Image.Image) -> Image.Image:
    """Lay a clear picture on squares of two greys, so that light and dark threads show."""
    row, column = np.indices((image.height, image.width)) // _SQUARE
    grey = np.where((row + column) % 2, *_GREYS).astype(np.uint8)
    under = Image.fromarray(grey).convert("RGBA")
    return Image.alpha_composite(under, image).convert("RGB")


def _write(draw: ImageDraw.ImageDraw, at: tuple[int, int], lines: list[str], size: int) -> None:
    for k, text in enumerate(lines):
        letter(draw, (at[0], at[1] + k * line_height(size)), text, size)

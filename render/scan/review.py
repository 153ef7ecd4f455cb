"""Draw over a picture what was understood of it."""

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont
from PIL.PngImagePlugin import PngInfo
from scipy import ndimage

from render.files import SOFTWARE, whole_file
from render.geometry.polygon import contains
from render.scan.lattice import spacing_at
from render.scan.model import Area, Points, Reading
from render.scan.naming import Meaning, pen_rows

Colour = tuple[int, int, int]

# Of the shades that all eyes tell apart; the first and second are for the rings.
# M. Okabe, K. Ito, "Color universal design" (2002, revised 2008).
SURE, DOUBTFUL = (0, 114, 178), (213, 94, 0)
TINTS = ((0, 158, 115), (204, 121, 167), (230, 159, 0), (86, 180, 233), (120, 94, 240),
         (240, 228, 66))  # fmt: skip
INK, CARD = (25, 25, 25), (255, 255, 255)
TINT = 110  # of 255
PALER = 0.35  # of the way to white, so that what is drawn over the picture stands out
RING_MM = 0.35  # beyond the edge of the hole
LINE_MM = 0.22
LETTERS = 0.7  # spacings, so that numbers hide little
LEGEND_LETTERS = 22  # pixels


def write_review(reading: Reading, meanings: Mapping[int, Meaning | None], target: Path) -> None:
    """Ring every hole, doubtful ones in another colour, and tint and number every area.

    Parameters
    ----------
    reading
        What was read.
    meanings
        What each pen means, None where nobody said.
    target
        A PNG.

    Raises
    ------
    OutputError
        Where it cannot be written.
    """
    shown = _with_shapes(reading)
    _number_areas(reading, meanings, shown)
    _ring_holes(reading, shown)
    notes = PngInfo()
    notes.add_text("Software", SOFTWARE)
    dpi = reading.per_mm * 25.4
    with whole_file(target) as file:
        sheet = _with_legend(reading, meanings, shown)
        sheet.save(file, "PNG", pnginfo=notes, dpi=(dpi, dpi), compress_level=3)


def _tint_of(pen: int) -> Colour:
    """Return the tint that stands for a pen."""
    return TINTS[(pen - 1) % len(TINTS)]


def _with_shapes(reading: Reading) -> Image.Image:
    """Return the paled picture with the areas tinted and the pen lines drawn."""
    pixels = reading.picture.pixels
    picture = Image.blend(
        Image.fromarray(pixels), Image.new("RGB", pixels.shape[1::-1], CARD), PALER
    )
    line = max(2, round(LINE_MM * reading.per_mm))
    for area in reading.areas:
        corner = np.floor(area.contours[0].min(axis=0))
        size = np.ceil(area.contours[0].max(axis=0)) - corner + 1
        mask = Image.new("L", (int(size[0]), int(size[1])))
        brush = ImageDraw.Draw(mask)
        for k, contour in enumerate(area.contours):
            brush.polygon(_corners(contour - corner), fill=0 if k else TINT)
        picture.paste(_tint_of(area.pen), (int(corner[0]), int(corner[1])), mask)
    brush = ImageDraw.Draw(picture)
    for area in reading.areas:
        for contour in area.contours:
            brush.line(_corners(np.vstack([contour, contour[:1]])), INK, line + 2, "curve")
            brush.line(_corners(np.vstack([contour, contour[:1]])), _tint_of(area.pen), line)
    for stroke in reading.strokes:
        brush.line(_corners(stroke.points), INK, 2 * line + 2, "curve")
        brush.line(_corners(stroke.points), _tint_of(stroke.pen), 2 * line, "curve")
    return picture


def _corners(points: Points) -> list[tuple[float, float]]:
    """Return points as Pillow takes them."""
    return [(x, y) for x, y in points.tolist()]


def _ring_holes(reading: Reading, shown: Image.Image) -> None:
    """Ring the holes, the doubtful ones last and broader."""
    brush = ImageDraw.Draw(shown)
    holes, line = reading.holes, max(2, round(LINE_MM * reading.per_mm))
    for k in np.argsort(~holes.sure, kind="stable"):
        x, y = holes.centres[k].tolist()
        reach = float(holes.radius[k]) + RING_MM * reading.per_mm
        width, colour = (line, SURE) if holes.sure[k] else (2 * line, DOUBTFUL)
        reach += width / 2
        brush.ellipse((x - reach, y - reach, x + reach, y + reach), outline=colour, width=width)


def _number_areas(
    reading: Reading, meanings: Mapping[int, Meaning | None], shown: Image.Image
) -> None:
    """Write on each area its number and its meaning."""
    brush = ImageDraw.Draw(shown)
    spacing = float(np.median(spacing_at(reading.holes.centres)))
    font = ImageFont.load_default(max(12, round(LETTERS * spacing)))
    for number, area in enumerate(reading.areas, 1):
        meaning = meanings.get(area.pen)
        words = f"{number} {f'pen {area.pen}?' if meaning is None else meaning}"
        brush.text(_roomiest(area), words, INK, font, "mm", stroke_width=3, stroke_fill=CARD)


def _roomiest(area: Area) -> tuple[float, float]:
    """Return the point of an area that is farthest from its edges."""
    low, high = area.contours[0].min(axis=0), area.contours[0].max(axis=0)
    x, y = np.meshgrid(*(np.linspace(p, q, 40) for p, q in zip(low, high, strict=True)))
    inside = contains(area.contours, np.column_stack([x.ravel(), y.ravel()])).reshape(x.shape)
    step = (high - low) / 39
    depth = ndimage.distance_transform_edt(np.pad(inside, 1), sampling=(step[1], step[0]))
    row, column = np.unravel_index(int(depth[1:-1, 1:-1].argmax()), inside.shape)
    return float(x[row, column]), float(y[row, column])


def _with_legend(
    reading: Reading, meanings: Mapping[int, Meaning | None], shown: Image.Image
) -> Image.Image:
    """Return the picture with a legend below it."""
    font = ImageFont.load_default(LEGEND_LETTERS)
    step = round(1.6 * LEGEND_LETTERS)
    doubtful = int((~reading.holes.sure).sum())
    entries: list[tuple[Colour, Colour | None, str]] = [
        (CARD, SURE, f"{len(reading.holes) - doubtful} holes"),
        (CARD, DOUBTFUL, f"{doubtful} doubtful hole{'s' * (doubtful != 1)}"),
    ]
    for pen, (_, row) in zip(reading.pens, pen_rows(reading.pens, meanings), strict=True):
        row = row.replace("mm²", "sq mm")  # which the font has no sign for
        red, green, blue = bytes.fromhex(pen.hex[1:])
        entries.append(((red, green, blue), _tint_of(pen.number), row))
    probe = ImageDraw.Draw(shown)
    widest = max(round(probe.textlength(words, font)) for _, _, words in entries) + 3 * step
    sheet = Image.new("RGB", (max(shown.width, widest), shown.height + step * (len(entries) + 1)),
                      CARD)  # fmt: skip
    sheet.paste(shown)
    brush = ImageDraw.Draw(sheet)
    for k, (fill, rim, words) in enumerate(entries):
        middle = shown.height + step * (k + 1)
        brush.ellipse((step // 2, middle - 10, step // 2 + 20, middle + 10), fill, rim, 4)
        brush.text((2 * step, middle), words, INK, font, "lm")
    return sheet

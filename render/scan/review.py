"""Draw over a scan what was understood of it."""

from collections.abc import Mapping
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont
from PIL.PngImagePlugin import PngInfo

from render.files import SOFTWARE, whole_file
from render.scan.model import Reading
from render.scan.naming import Meaning

SURE, DOUBTFUL, OUTLINE = (20, 90, 200), (220, 60, 20), (60, 20, 60)
TINT = 90  # of 255
RING = 1.8  # radii of a hole


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
    picture = Image.fromarray(reading.picture.pixels).convert("RGBA")
    tint = Image.new("RGBA", picture.size, (0, 0, 0, 0))
    brush = ImageDraw.Draw(tint)
    colour = {pen.number: pen.hex for pen in reading.pens}
    for area in reading.areas:
        for k, contour in enumerate(area.contours):
            fill = (*_rgb(colour[area.pen]), TINT) if k == 0 else (0, 0, 0, 0)
            brush.polygon([tuple(p) for p in contour.tolist()], fill=fill, outline=(*OUTLINE, 255))
    for stroke in reading.strokes:
        brush.line([tuple(p) for p in stroke.points.tolist()], fill=(*OUTLINE, 255), width=3)
    shown = Image.alpha_composite(picture, tint).convert("RGB")
    brush = ImageDraw.Draw(shown)
    for (x, y), radius, sure in zip(
        reading.holes.centres.tolist(),
        reading.holes.radius.tolist(),
        reading.holes.sure,
        strict=True,
    ):
        reach = max(RING * radius, 4.0)
        brush.ellipse(
            (x - reach, y - reach, x + reach, y + reach),
            outline=SURE if sure else DOUBTFUL,
            width=2,
        )
    font = ImageFont.load_default(max(14, round(3 * reading.per_mm)))
    for number, area in enumerate(reading.areas, 1):
        x, y = area.contours[0].mean(axis=0).tolist()
        words = f"{number} {meanings.get(area.pen) or f'pen {area.pen}?'}"
        brush.text(
            (x, y), words, fill=OUTLINE, font=font, anchor="mm", stroke_width=2, stroke_fill="white"
        )
    notes = PngInfo()
    notes.add_text("Software", SOFTWARE)
    with whole_file(target) as file:
        shown.save(file, "PNG", pnginfo=notes)


def _rgb(colour: str) -> tuple[int, ...]:
    return tuple(int(colour[k : k + 2], 16) for k in (1, 3, 5))

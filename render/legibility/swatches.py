"""Draw threads over the card and over each marking colour."""

from importlib.metadata import version
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from render.colour.srgb import hex_colour
from render.errors import OutputError
from render.files import SOFTWARE, refuse_to_replace
from render.image.background import Card, Colour
from render.image.draw import picture
from render.image.scene import MM_PER_INCH, Scene
from render.image.write import write_png
from render.legibility.judge import Legibility, Marking
from render.legibility.rating import SIGHTS, as_seen
from render.legibility.wording import short_rating
from render.lettering import letter, line_height, shortened
from render.threads.model import Crossings, ThreadPaths

Pixels = NDArray[np.uint8]

PAPER = (250, 250, 248)
# In thread diameters: from thread to thread, and the swatch that is shown.
_PITCH, _WIDE, _HIGH = 3.2, 30.0, 20.0
_THREAD_PIXELS = 7
# Part of a swatch that stays bare card.
_BARE = 0.3
_SIZE, _GAP, _TEXT_WIDTH = 17, 16, 290
_SEEN = {
    "usual": "usual eyes",
    "protan": "no long-wave cones",
    "deutan": "no middle-wave cones",
    "tritan": "no short-wave cones",
}


def write_swatches(found: Legibility, source: Path, target: Path) -> tuple[int, int]:
    """Write a sheet of swatches, one row for each colour and one column for each kind of eyes.

    Parameters
    ----------
    found
        What is shown.
    source
        The pattern, which is never replaced.
    target
        The sheet, a PNG. An older picture of our own is replaced, nothing else is.

    Returns
    -------
    Width and height in pixels.

    Raises
    ------
    OutputError
        Where the sheet cannot be written.
    """
    if target.suffix.lower() != ".png":
        raise OutputError(f"{target} cannot be written: its name must end in .png")
    refuse_to_replace(target, source)
    sheet = _lay_out(found)
    notes = {"Software": f"{SOFTWARE} {version(SOFTWARE)}", "Title": f"{found.name}, colours"}
    dpi = _THREAD_PIXELS * MM_PER_INCH / found.gauge_mm
    size = {"width": sheet.width, "height": sheet.height}
    write_png(target, [np.asarray(sheet)], **size, dpi=dpi, text=notes)
    return sheet.size


def draw_swatch(thread: Colour, card: Colour, marking: Colour, gauge_mm: float) -> Pixels:
    """Return (H, W, 3) sRGB: woven threads over bare card at the left and a marking at the right.

    Parameters
    ----------
    thread, card, marking
        sRGB, 0 to 1.
    gauge_mm
        Thread diameter.
    """
    bare, marked = (_woven(thread, under, gauge_mm) for under in (card, marking))
    edge = round(_BARE * bare.shape[1])
    return np.concatenate([bare[:, :edge], marked[:, edge:]], axis=1)


def _woven(thread: Colour, under: Colour, gauge_mm: float) -> Pixels:
    """Draw an open weave on card of one colour."""
    scene = Scene(
        _open_weave(gauge_mm),
        np.array(thread),
        (0.0, 0.0, _WIDE * gauge_mm, _HIGH * gauge_mm),
        dpi=_THREAD_PIXELS * MM_PER_INCH / gauge_mm,
        background=Card(under),
    )
    return picture(scene, processes=1)


def _open_weave(gauge_mm: float) -> ThreadPaths:
    """Return threads both ways, over and under in turn, with air between them."""
    down = np.arange(2.0, _HIGH - 1, _PITCH)
    along = np.arange(2.0, _WIDE - 1, _PITCH)
    lines = [_thread(_WIDE, at, k, gauge_mm) for k, at in enumerate(down)]
    lines += [_thread(_HIGH, at, k + 1, gauge_mm)[:, [1, 0, 2]] for k, at in enumerate(along)]
    count, none = len(lines), np.zeros(0, np.int64)
    return ThreadPaths(
        points=np.concatenate(lines),
        starts=np.concatenate([[0], np.cumsum([len(line) for line in lines])]).astype(np.int64),
        radius=np.full(count, gauge_mm / 2),
        pair=np.arange(count) // 2,
        role=np.zeros(count, np.int64),
        region=np.full(count, -1),
        crossings=Crossings(none, none, np.zeros((0, 2))),
    )


def _thread(length: float, at: float, number: int, gauge_mm: float) -> NDArray[np.float64]:
    """Return a thread across the swatch that goes over one and under the next."""
    s = np.arange(0, length + 0.2, 0.2)
    z = 0.52 * np.cos(np.pi * (s - 2.0) / _PITCH) * (-1) ** number
    return np.column_stack([s, np.full_like(s, at), z]) * gauge_mm


def _lay_out(found: Legibility) -> Image.Image:
    bare = [f"thread {short_rating(found.thread_on_card)}"]
    rows = [("bare card", found.card, found.thread, bare)]
    rows += [_named("in use", one) for one in found.markings]
    rows += [_named("proposed", one) for one in found.proposals]
    swatches = [draw_swatch(row[2], found.card, row[1], found.gauge_mm) for row in rows]
    high, wide = swatches[0].shape[:2]
    top = 2 * _GAP + line_height(_SIZE + 6) + line_height(_SIZE)
    width = _GAP + _TEXT_WIDTH + len(SIGHTS) * (wide + _GAP)
    sheet = Image.new("RGB", (width, top + len(rows) * (high + _GAP)), PAPER)
    draw = ImageDraw.Draw(sheet)
    title = f"{found.name}: thread {hex_colour(found.thread)}, card {hex_colour(found.card)}"
    letter(draw, (_GAP, _GAP), shortened(title, _SIZE + 6, width - 2 * _GAP), _SIZE + 6)
    for column, sight in enumerate(SIGHTS):
        x = _GAP + _TEXT_WIDTH + column * (wide + _GAP)
        letter(draw, (x, top - line_height(_SIZE)), _SEEN[sight], _SIZE)
        for k, swatch in enumerate(swatches):
            seen = np.rint(as_seen(sight, swatch / 255) * 255).astype(np.uint8)
            sheet.paste(Image.fromarray(seen), (x, top + k * (high + _GAP)))
    for k, (name, colour, _, said) in enumerate(rows):
        for n, text in enumerate([f"{name} {hex_colour(colour)}", *said]):
            at = (_GAP, top + k * (high + _GAP) + n * line_height(_SIZE))
            letter(draw, at, shortened(text, _SIZE, _TEXT_WIDTH - _GAP), _SIZE)
    return sheet


def _named(what: str, one: Marking) -> tuple[str, Colour, Colour, list[str]]:
    """Return what is written beside a swatch."""
    thread, card = short_rating(one.under_thread), short_rating(one.on_card)
    said = [f"{hex_colour(one.thread)} {thread}", f"on card {card}"]
    return f"{one.word}, {what}", one.colour, one.thread, said

"""Work each variant once and draw it in every thread asked for."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from importlib.metadata import version
from pathlib import Path

import numpy as np
from PIL import Image

from render.comparison.layout import lay_out
from render.comparison.model import Cell, Choices
from render.errors import OutputError, Remark, SettingError
from render.estimate.changes import swap_stitches
from render.files import SOFTWARE, refuse_to_replace
from render.geometry.polygon import signed_area
from render.image.draw import Progress, picture
from render.image.scene import MM_PER_INCH, Scene
from render.image.write import write_png
from render.pattern.model import Pattern
from render.pattern.read import read_pattern
from render.pipeline import Worked, stage_scene, work_out
from render.wishes import Wishes

Window = tuple[float, float, float, float]
PIXELS = 500


@dataclass(frozen=True)
class Comparison:
    """A sheet that was written.

    Attributes
    ----------
    path
        The picture.
    width, height
        In pixels.
    cells, settlings
        How many pictures are on it, and how often threads had to be settled for them.
    remarks
        What is to be known of the pieces it shows.
    """

    path: Path
    width: int
    height: int
    cells: int
    settlings: int
    remarks: tuple[Remark, ...]


def make_comparison(
    path: Path,
    target: Path,
    choices: Choices,
    wishes: Wishes,
    *,
    pixels: int = PIXELS,
    close_mm: float | None = None,
    progress: Progress | None = None,
) -> Comparison:
    """Draw a pattern in several ways, side by side at one scale, each named.

    Parameters
    ----------
    path
        A marked pricking.
    target
        The sheet, a PNG. An older picture of our own is replaced, nothing else is.
    choices
        What is compared.
    wishes
        What all pictures share; thread, background, gauge and dpi follow from the rest.
    pixels
        Of the longer side of each picture.
    close_mm
        Show only a square of this side, about the edge of an area; None for the whole piece.
    progress
        Called with the part done, 0 to 1.

    Raises
    ------
    LaceError
        Where the pattern, a choice or the target is at fault; nothing is written then.
    """
    pattern = read_pattern(path)
    if target.suffix.lower() != ".png":
        raise OutputError(f"{target} cannot be written: its name must end in .png")
    refuse_to_replace(target, path)
    _refuse_too_large(choices, wishes, pixels)
    worked = work_variants(pattern, choices, wishes)
    window = _shared_window(list(worked.values()), choices, wishes, close_mm)
    images = []
    for scene in _scenes(worked, choices, wishes, window, pixels):
        images.append(Image.fromarray(picture(scene)))
        if progress is not None:
            progress(len(images) / len(choices.cells))
    gauges = [worked[0, k].gauge.diameter_mm for k in range(len(choices.gauges_mm))]
    sheet = lay_out(pattern.title or pattern.name, images, choices, gauges)
    rows = np.asarray(sheet)
    dpi = _dpi(window, pixels)
    write_png(target, [rows], width=sheet.width, height=sheet.height, dpi=dpi, text=_notes(pattern))
    pieces = {id(one): one for one in worked.values()}.values()
    remarks = tuple(dict.fromkeys(remark for one in pieces for remark in one.remarks))
    return Comparison(target, sheet.width, sheet.height, len(images), len(pieces), remarks)


def work_variants(
    pattern: Pattern, choices: Choices, wishes: Wishes
) -> dict[tuple[int, int], Worked]:
    """Work and settle a pattern once for each variant and gauge, by their places in the lists."""
    changed = [swap_stitches(pattern, one.swaps, one.ground) for one in choices.variants]
    worked: dict[tuple[int, int], Worked] = {}
    for v, one in enumerate(changed):
        for g, gauge in enumerate(choices.gauges_mm):
            # The same thread asked for twice, in whatever words, is settled once.
            known = worked.get((v, choices.gauges_mm.index(gauge)))
            worked[v, g] = known or work_out(one, replace(wishes, gauge_mm=gauge))
    return worked


def _scenes(
    worked: dict[tuple[int, int], Worked],
    choices: Choices,
    wishes: Wishes,
    window: Window,
    pixels: int,
) -> Iterator[Scene]:
    """Yield what is drawn in each cell, in their order."""
    for cell in choices.cells:
        own = _wishes_of(cell, choices, wishes)
        scene = stage_scene(worked[cell.variant, cell.gauge], own)
        yield replace(scene, window_mm=window, dpi=_dpi(window, pixels))


def _wishes_of(cell: Cell, choices: Choices, wishes: Wishes) -> Wishes:
    return replace(
        wishes,
        gauge_mm=choices.gauges_mm[cell.gauge],
        thread=choices.threads[cell.thread][1],
        background=choices.backgrounds[cell.background][1],
    )


def _shared_window(
    worked: list[Worked], choices: Choices, wishes: Wishes, close_mm: float | None
) -> Window:
    """Return the part of the plane that every picture shows."""
    windows = np.array([stage_scene(one, wishes).window_mm for one in worked])
    left, top = (float(edge) for edge in windows[:, :2].min(axis=0))
    right, bottom = (float(edge) for edge in windows[:, 2:].max(axis=0))
    if close_mm is None or close_mm >= max(right - left, bottom - top):
        return left, top, right, bottom
    x, y = _telling_place(worked[0], choices)
    return x - close_mm / 2, y - close_mm / 2, x + close_mm / 2, y + close_mm / 2


def _telling_place(worked: Worked, choices: Choices) -> tuple[float, float]:
    """Return where a close view tells most: on the edge of an area, or else amid the threads."""
    points = worked.paths.points[:, :2]
    swapped = {word for variant in choices.variants for word in variant.swaps}
    areas = worked.pattern.regions
    edges = [area.contours[0] for area in areas if area.stitch in swapped] or [
        area.contours[0] for area in areas
    ]
    edges.sort(key=lambda edge: abs(signed_area(edge)))
    places = edges[-1] if edges else points
    away = np.hypot(*(places - points.mean(axis=0)).T)
    x, y = places[int(away.argmin())]
    return float(x), float(y)


def _dpi(window: Window, pixels: int) -> float:
    left, top, right, bottom = window
    return pixels * MM_PER_INCH / max(right - left, bottom - top)


def _refuse_too_large(choices: Choices, wishes: Wishes, pixels: int) -> None:
    megapixels = len(choices.cells) * pixels**2 / 1e6
    if megapixels > wishes.largest_megapixels:
        raise SettingError(
            f"{len(choices.cells)} pictures of {pixels} pixels may take {megapixels:.0f} "
            f"megapixels, more than {wishes.largest_megapixels:g}: ask for smaller or fewer ones"
        )


def _notes(pattern: Pattern) -> dict[str, str]:
    return {
        "Software": f"{SOFTWARE} {version(SOFTWARE)}",
        "Title": f"{pattern.title or pattern.name}, compared",
    }

"""Read a picture of a coloured pricking: the steps in their order."""

from dataclasses import replace
from pathlib import Path

import numpy as np

from render.scan.colouring import grey_cells, look_at_colours
from render.scan.flatten import flatten
from render.scan.holes import IN_LINE, find_holes
from render.scan.lattice import find_turn, spacing_at
from render.scan.model import Dots, Picture, Points, Reading, Settings
from render.scan.pens import find_pens
from render.scan.picture import open_picture, rescaled
from render.scan.rectify import square_up
from render.scan.remarks import (
    check_holes,
    remark_on_scale,
    remark_on_turn,
    remarks_on_colours,
    remarks_on_holes,
)
from render.scan.scale import at_working_scale, check_settings, scaled
from render.scan.shapes import describe_pens, trace_areas, trace_strokes

# Half of what a hole measures across, in mm, as printed, copied or pricked.
HOLE_RADIUS_MM = (0.12, 1.1)
# The same in pixels where the scale comes from the holes themselves.
LEAST_RADIUS_PX, LARGEST_SHARE = 1.8, 1 / 25
GOOD_RADIUS_PX = 2.5, 10.0
LEAST_TURN_DEGREES = 0.02


def read_scan(path: Path, settings: Settings | None = None) -> Reading:
    """Read a scan or photograph of a pricking.

    Parameters
    ----------
    path
        PNG, JPEG, TIFF, WebP or PDF.
    settings
        What is known beforehand, above all the scale if the file's dpi does not tell.

    Returns
    -------
    Holes, pens, areas and lines, with remarks about all that was doubtful.

    Raises
    ------
    PatternError
        Where the file is no picture, its scale is unknown, or it shows no pricking.
    SettingError
        Where the settings contradict each other.
    """
    settings = settings or Settings()
    check_settings(settings)
    picture = open_picture(path, settings.page)
    remark = remark_on_scale(picture, settings)
    if remark is not None:
        picture = replace(picture, remarks=(*picture.remarks, remark))
    if settings.paper_mm is not None:
        given = settings.corners
        corners = None if given is None else np.array(given) * picture.stretch
        picture = square_up(picture, settings.paper_mm, corners)
    else:
        picture = scaled(picture, settings)
    picture = at_working_scale(picture)
    if picture.per_mm is None:
        return _read(*_scaled_by_pitch(picture, settings), settings)
    radii = HOLE_RADIUS_MM[0] * picture.per_mm, HOLE_RADIUS_MM[1] * picture.per_mm
    return _read(picture, radii, settings)


def _scaled_by_pitch(picture: Picture, settings: Settings) -> tuple[Picture, tuple[float, float]]:
    """Find the scale from the distance of the holes; return it with the radii to look for."""
    largest = min(picture.pixels.shape[:2]) * LARGEST_SHARE
    light = flatten(picture.pixels).max(axis=2)
    holes, _ = find_holes(light, LEAST_RADIUS_PX, largest, settings.polarity)
    check_holes(picture, holes, light, settings.polarity)
    spacing = float(np.median(spacing_at(holes.centres[holes.sure])))
    radius = float(np.median(holes.radius[holes.sure]))
    coarse, fine = GOOD_RADIUS_PX
    factor = 2.0 if radius < coarse else 1.0 / max(1, round(radius / fine))
    known = replace(picture, per_mm=spacing / (settings.pitch_mm or 1.0))
    return rescaled(known, factor), (0.55 * radius * factor, 1.8 * radius * factor)


def _read(picture: Picture, radii: tuple[float, float], settings: Settings) -> Reading:
    """Read a picture whose scale is known; `radii` of holes in pixels are looked for."""
    per_mm = picture.per_mm or 1.0
    flat = flatten(picture.pixels)
    light = flat.max(axis=2)
    holes, polarity = find_holes(light, *radii, settings.polarity)
    check_holes(picture, holes, light, settings.polarity)
    spacing = float(np.median(spacing_at(holes.centres)))

    colours = look_at_colours(flat, holes, spacing, per_mm)
    found = find_pens(colours, holes.centres)
    areas, free = trace_areas(colours, found, holes.centres)
    strokes = trace_strokes(colours, found, holes.centres)
    pens = describe_pens(colours, found, strokes, per_mm)

    grey_mm2 = grey_cells(colours) * (colours.cell / per_mm) ** 2
    turn = _turn(holes, settings)
    reading = Reading(picture, holes, pens, areas, strokes, per_mm, turn or 0.0)
    reading = _in_order(_on_the_page(reading), spacing / per_mm)
    remarks = (
        *picture.remarks,
        remark_on_turn(turn, settings.turn_degrees is not None),
        *remarks_on_holes(reading, polarity),
        *remarks_on_colours(found, free, grey_mm2),
    )
    return replace(reading, remarks=remarks)


def _turn(holes: Dots, settings: Settings) -> float | None:
    """Return how far to turn what was read, None where the holes do not tell."""
    if settings.turn_degrees is not None:
        return settings.turn_degrees
    found = find_turn(holes.centres[holes.sure & (holes.support >= IN_LINE)])
    return 0.0 if found is not None and abs(found) < LEAST_TURN_DEGREES else found


def _on_the_page(reading: Reading) -> Reading:
    """Move a reading so that nothing of it lies left of or above the page."""
    parts = [reading.holes.centres, *(stroke.points for stroke in reading.strokes)]
    parts += [contour for area in reading.areas for contour in area.contours]
    low: Points = reading.to_mm(np.concatenate(parts)).min(axis=0)
    across, down = (float(np.ceil(max(0.0, -least))) for least in low)
    return replace(reading, shift_mm=(across, down))


def _in_order(reading: Reading, spacing_mm: float) -> Reading:
    """Put holes row by row from the top, each row from the left."""
    points = reading.to_mm(reading.holes.centres)
    row = np.round(points[:, 1] / (spacing_mm / 4))
    return replace(reading, holes=reading.holes[np.lexsort((points[:, 0], row))])

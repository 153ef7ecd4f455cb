"""Read a picture of a coloured pricking: the steps in their order."""

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from render.colour.srgb import hex_colour
from render.errors import PatternError, Place, Remark
from render.pattern.model import Line, Pattern, Region
from render.scan.colouring import Colouring, look_at_colours, srgb_from_lab
from render.scan.flatten import flatten
from render.scan.holes import IN_LINE, LEAST_HOLES, find_holes
from render.scan.lattice import find_turn, spacing_at
from render.scan.model import Area, Dots, Pen, Picture, Plane, Points, Reading, Settings, Stroke
from render.scan.naming import Meaning, pen_list
from render.scan.outline import outlines
from render.scan.pens import Pens, find_pens
from render.scan.picture import open_picture, rescaled
from render.scan.rectify import square_up
from render.scan.scale import at_working_scale, check_settings, scaled
from render.scan.strokes import centrelines

# Half of what a hole measures across, in mm, as printed, copied or pricked.
HOLE_RADIUS_MM = (0.12, 1.1)
# The same in pixels where the scale comes from the holes themselves.
LEAST_RADIUS_PX, LARGEST_SHARE = 1.8, 1 / 25
GOOD_RADIUS_PX = 2.5, 10.0
LEAST_TURN_DEGREES = 0.02
ENDS_AT_HOLE = 0.8  # spacings within which a pen line that ends near a hole ends at it
HOLES_NAMED = 12


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
    if settings.paper_mm is not None:
        corners = None if settings.corners is None else np.array(settings.corners)
        picture = square_up(picture, settings.paper_mm, corners)
    else:
        picture = scaled(picture, settings)
    picture = at_working_scale(picture)
    if picture.per_mm is None:
        picture, radii = _scaled_by_pitch(picture, settings)
    else:
        radii = HOLE_RADIUS_MM[0] * picture.per_mm, HOLE_RADIUS_MM[1] * picture.per_mm
    return _read(picture, radii, settings)


def _scaled_by_pitch(picture: Picture, settings: Settings) -> tuple[Picture, tuple[float, float]]:
    """Find the scale from the distance of the holes; return it with the radii to look for."""
    largest = min(picture.pixels.shape[:2]) * LARGEST_SHARE
    light = flatten(picture.pixels).max(axis=2)
    holes, _ = find_holes(light, LEAST_RADIUS_PX, largest, settings.polarity)
    _check_holes(picture, holes, light)
    spacing = float(np.median(spacing_at(holes.centres[holes.sure])))
    radius = float(np.median(holes.radius[holes.sure]))
    known = Picture(
        picture.source, picture.pixels, spacing / (settings.pitch_mm or 1.0), None,
        picture.enlarged, picture.remarks,
    )  # fmt: skip
    coarse, fine = GOOD_RADIUS_PX
    factor = 2.0 if radius < coarse else 1.0 / max(1, round(radius / fine))
    return rescaled(known, factor), (0.55 * radius * factor, 1.8 * radius * factor)


def _read(picture: Picture, radii: tuple[float, float], settings: Settings) -> Reading:
    """Read a picture whose scale is known; `radii` of holes in pixels are looked for."""
    per_mm = picture.per_mm or 1.0
    flat = flatten(picture.pixels)
    light = flat.max(axis=2)
    holes, polarity = find_holes(light, *radii, settings.polarity)
    _check_holes(picture, holes, light)
    spacing = float(np.median(spacing_at(holes.centres)))
    colours = look_at_colours(flat, holes, spacing)
    found = find_pens(colours, holes.centres)
    areas, free = _areas(colours, found, holes.centres)
    strokes = _strokes(colours, found, holes.centres)
    turn, turn_remark = _turn(holes, settings)
    reading = Reading(
        picture, holes, _pens(colours, found, strokes, per_mm), areas, strokes, per_mm, turn
    )
    remarks = [
        *picture.remarks,
        turn_remark,
        *_remarks_on_holes(reading, polarity),
        *_remarks_on_colours(found, free),
    ]
    order = _reading_order(reading.to_mm(holes.centres), spacing / per_mm)
    return Reading(
        picture, holes[order], reading.pens, areas, strokes, per_mm, turn, tuple(remarks)
    )


def _check_holes(picture: Picture, holes: Dots, light: Plane) -> None:
    """Refuse pictures that show no pricking."""
    if holes.sure.sum() >= LEAST_HOLES:
        return
    grey = picture.pixels.astype(np.float32).mean(axis=2)
    if float(np.percentile(grey, 98)) < 30:
        found = "the picture is black all over"
    elif float(np.percentile(light, 99.9) - np.percentile(light, 0.1)) < 0.15:
        found = "the picture is blank"
    else:
        found = f"{len(holes) or 'no'} round marks of one size were found, too few for a pricking"
    message = f"no holes can be read: {found}; check the picture, its scale (--dpi) and --holes"
    raise PatternError(picture.source, (Remark(message),))


def _areas(colours: Colouring, found: Pens, holes: Points) -> tuple[tuple[Area, ...], int]:
    """Return the coloured areas, and how many of them no hole stands on."""
    areas, free = [], 0
    for blob in found.blobs:
        if blob.thin:
            continue
        corner = np.array(blob.corner, float)
        lines = outlines(blob.mask, colours.to_cells(holes) - corner, colours.spacing)
        contours = tuple(colours.to_pixels(line.points + corner) for line in lines)
        areas.append(Area(blob.pen + 1, contours))
        free += lines[0].through == 0
    return tuple(areas), free


def _strokes(colours: Colouring, found: Pens, holes: Points) -> tuple[Stroke, ...]:
    """Return the pen lines, led to the holes they end at."""
    cells = colours.to_cells(holes)
    strokes = []
    for blob in found.blobs:
        if blob.thin:
            for line in centrelines(blob.mask, blob.radius, colours.spacing):
                points = _to_holes(line + np.array(blob.corner), cells, colours.spacing)
                strokes.append(Stroke(blob.pen + 1, colours.to_pixels(points)))
    return tuple(strokes)


def _to_holes(line: Points, holes: Points, spacing: float) -> Points:
    """Let a line end at the holes next to its ends."""
    if (line[0] == line[-1]).all():
        return line
    line = line.copy()
    for end, inner in ((0, 1), (-1, -2)):
        away = np.hypot(*(holes - line[end]).T)
        # The hole must lie ahead or close by, not behind: a line is not bent back.
        ahead = (holes - line[inner]) @ (line[end] - line[inner]) > 0
        away = np.where(ahead | (away < 0.3 * spacing), away, np.inf)
        if away.min() < ENDS_AT_HOLE * spacing:
            line[end] = holes[away.argmin()]
    return line


def _pens(
    colours: Colouring, found: Pens, strokes: tuple[Stroke, ...], per_mm: float
) -> tuple[Pen, ...]:
    """Describe the pens."""
    cell_mm = colours.cell / per_mm
    pens = []
    for k, tone in enumerate(found.tones):
        blobs = [blob for blob in found.blobs if blob.pen == k]
        widths = [2 * blob.radius * cell_mm for blob in blobs if blob.thin]
        pens.append(
            Pen(
                number=k + 1,
                lab=tone,
                hex=hex_colour(srgb_from_lab(tone)),
                area_mm2=float(sum(int(blob.mask.sum()) for blob in blobs) * cell_mm**2),
                areas=sum(not blob.thin for blob in blobs),
                strokes=sum(stroke.pen == k + 1 for stroke in strokes),
                width_mm=float(np.median(widths)) if widths else 0.0,
            )
        )
    return tuple(pens)


def _turn(holes: Dots, settings: Settings) -> tuple[float, Remark]:
    """Return how far to turn what was read, and why."""
    if settings.turn_degrees is not None:
        turn = settings.turn_degrees
        return turn, Remark(f"turned by {turn:g}° as asked", kind="note")
    found = find_turn(holes.centres[holes.sure & (holes.support >= IN_LINE)])
    if found is None:
        return 0.0, Remark(
            "the holes do not tell which way is straight, so nothing was turned; "
            "give --turn if the sheet lies askew"
        )
    if abs(found) < LEAST_TURN_DEGREES:
        return 0.0, Remark("the sheet lies straight", kind="note")
    way = "clockwise" if found > 0 else "anticlockwise"
    return found, Remark(f"turned {way} by {abs(found):.2f}° to stand straight", kind="note")


def _remarks_on_holes(reading: Reading, polarity: str) -> list[Remark]:
    """Say what was found and what is doubtful."""
    holes = reading.holes
    size = 2 * float(np.median(holes.radius)) / reading.per_mm
    spacing = float(np.median(spacing_at(holes.centres))) / reading.per_mm
    remarks = [
        Remark(
            f"{len(holes)} holes, {polarity}, {size:.2f} mm across, {spacing:.2f} mm apart",
            kind="note",
        )
    ]
    doubtful = reading.to_mm(holes.centres[~holes.sure])
    if len(doubtful):
        places = "; ".join(f"{x:.1f}, {y:.1f}" for x, y in doubtful[:HOLES_NAMED])
        more = f" and {len(doubtful) - HOLES_NAMED} more" if len(doubtful) > HOLES_NAMED else ""
        one = len(doubtful) == 1
        remarks.append(
            Remark(
                f"{len(doubtful)} of them {'is' if one else 'are'} doubtful, at {places} mm{more}; "
                f"look at {'it' if one else 'them'} in the review picture"
            )
        )
    if (holes.support >= IN_LINE).mean() < 0.3:
        remarks.append(Remark("few holes stand in line with others; is this a pricking?"))
    return remarks


def _remarks_on_colours(found: Pens, free: int) -> list[Remark]:
    """Say what was set right in the colouring."""
    remarks = []
    if found.healed:
        remarks.append(
            Remark(f"{found.healed} gaps, specks and slivers of colour were set right", kind="note")
        )
    if free:
        remarks.append(
            Remark(f"{free} areas have no holes on their edge and are drawn as they were coloured")
        )
    return remarks


def _reading_order(points: Points, spacing: float) -> NDArray[np.intp]:
    """Return row by row from the top, each from the left."""
    return np.lexsort((points[:, 0], np.round(points[:, 1] / (spacing / 4))))


def to_pattern(reading: Reading, name: str, meanings: Mapping[int, Meaning | None]) -> Pattern:
    """Turn a reading into a pattern.

    Parameters
    ----------
    name
        Of the pattern.
    meanings
        Of every pen, by its number.

    Raises
    ------
    PatternError
        Listing the pens, where one of them has no meaning yet.
    """
    unnamed = [pen.number for pen in reading.pens if meanings.get(pen.number) is None]
    if unnamed:
        which = f"pen {unnamed[0]} stands" if len(unnamed) == 1 else (
            f"pens {', '.join(map(str, unnamed))} stand"
        )  # fmt: skip
        message = (
            f'say what {which} for, as in --pen "{unnamed[0]}=half" or '
            f'"{unnamed[0]}=line:plait":\n{pen_list(reading, meanings)}'
        )
        raise PatternError(reading.picture.source, (Remark(message),))
    regions, lines, left_out = _shapes(reading, meanings)
    count = len(reading.holes)
    return Pattern(
        name,
        np.round(reading.to_mm(reading.holes.centres), 4),
        (None,) * count,
        (None,) * count,
        regions,
        lines,
        remarks=(*reading.remarks, *left_out),
    )


def _shapes(
    reading: Reading, meanings: Mapping[int, Meaning | None]
) -> tuple[tuple[Region, ...], tuple[Line, ...], list[Remark]]:
    """Return the regions and lines, and remarks on shapes that fit their pen's meaning ill."""
    regions: list[Region] = []
    lines: list[Line] = []
    ill: dict[int, int] = {}
    for number, area in enumerate(reading.areas, 1):
        meaning = meanings[area.pen]
        if meaning is None or meaning.word == "ignore":
            continue
        if meaning.line:
            ill[area.pen] = ill.get(area.pen, 0) + 1
            continue
        contours = tuple(np.round(reading.to_mm(contour), 4) for contour in area.contours)
        place = Place(f"area {number}", *map(float, contours[0].mean(axis=0)))
        options = {} if meaning.ground is None else {"ground": meaning.ground}
        regions.append(Region(contours, meaning.word, place, options))
    for number, stroke in enumerate(reading.strokes, 1):
        meaning = meanings[stroke.pen]
        if meaning is None or meaning.word == "ignore":
            continue
        if not meaning.line:
            ill[stroke.pen] = ill.get(stroke.pen, 0) + 1
            continue
        points = np.round(reading.to_mm(stroke.points), 4)
        place = Place(f"line {number}", float(points[0, 0]), float(points[0, 1]))
        lines.append(Line(points, meaning.word, place))
    remarks = [
        Remark(
            f"{count} shapes of pen {pen} are left out: they are "
            + ("areas, and the pen draws lines" if meanings[pen].line  # type: ignore[union-attr]
               else "thin lines, and the pen colours areas")
        )
        for pen, count in ill.items()
    ]  # fmt: skip
    return tuple(regions), tuple(lines), remarks

"""Turn the cells that pens coloured into outlines, lines and a list of the pens."""

import numpy as np
from numpy.typing import NDArray

from render.colour.srgb import hex_colour
from render.geometry.polygon import nearest_on_path, path_length
from render.scan.blobs import Mask
from render.scan.colouring import Colouring, srgb_from_lab
from render.scan.model import Area, Pen, Points, Stroke
from render.scan.outline import outlines
from render.scan.pens import Pens
from render.scan.strokes import centrelines

ENDS_AT_HOLE = 0.8  # spacings within which a pen line that ends near a hole ends at it
CORNER, SIGHT = 2.5, 4.0  # half breadths: a hole from its corner, and how far a corner is seen
BENT_DEGREES = 40.0
ASIDE = 2.0  # how much more a hole beside the way of a line counts as far than one on its way


def trace_areas(colours: Colouring, found: Pens, holes: Points) -> tuple[tuple[Area, ...], int]:
    """Return the coloured areas, and how many of them no hole stands on.

    Parameters
    ----------
    holes
        (N, 2) in pixels.
    """
    cells = colours.to_cells(holes)
    areas, free = [], 0
    for blob in found.blobs:
        if blob.thin:
            continue
        corner = np.array(blob.corner, float)
        near = _about(cells - corner, blob.mask.shape, 1.5 * colours.spacing)
        lines = outlines(blob.mask, near, colours.spacing)
        contours = tuple(colours.to_pixels(line.points + corner) for line in lines)
        areas.append(Area(blob.pen + 1, contours))
        free += lines[0].through == 0
    return tuple(areas), free


def _about(holes: Points, size: tuple[int, ...], reach: float) -> Points:
    """Return the holes in and around a box of rows and columns."""
    inside = (holes > -reach) & (holes < np.array(size[::-1]) + reach)
    return holes[inside.all(axis=1)]


def trace_strokes(colours: Colouring, found: Pens, holes: Points) -> tuple[Stroke, ...]:
    """Return the pen lines, led to the holes they end at.

    Parameters
    ----------
    holes
        (N, 2) in pixels.
    """
    cells = colours.to_cells(holes)
    strokes = []
    for blob in found.blobs:
        if not blob.thin:
            continue
        lines = centrelines(blob.mask, blob.radius, colours.spacing)
        length = sum(path_length(line) for line in lines)
        width = float(blob.mask.sum()) / max(length, 1.0) * colours.cell
        corner = np.array(blob.corner)
        near = _about(cells - corner, blob.mask.shape, 2 * blob.radius)
        for line in lines:
            led = _through_holes(line, near, blob.mask, blob.radius)
            points = _to_holes(led + corner, cells, colours.spacing)
            strokes.append(Stroke(blob.pen + 1, colours.to_pixels(points), width))
    return tuple(strokes)


def _through_holes(line: Points, holes: Points, mask: Mask, radius: float) -> Points:
    """Lead a line round the holes at its corners, which thinning rounded off."""
    place = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    sight = SIGHT * radius
    aside, along = nearest_on_path(line, holes, closed=False)
    near = (aside < CORNER * radius) & (along > sight) & (along < place[-1] - sight)
    corners = []
    for hole, at in zip(holes[near], along[near], strict=True):
        before, here, after = (_at(line, place, at + step) for step in (-sight, 0.0, sight))
        legs = [before + share * (hole - before) for share in (0.25, 0.5)]
        legs += [after + share * (hole - after) for share in (0.25, 0.5)]
        column, row = np.rint(legs).astype(int).T
        if _bend_degrees(before, here, after) > BENT_DEGREES and mask[row, column].all():
            corners.append((at, hole))
    for at, hole in sorted(corners, key=lambda corner: -corner[0]):
        first, last = np.searchsorted(place, [at - sight, at + sight])
        line = np.vstack([line[:first], hole, line[last:]])
        place = np.concatenate([place[:first], [at], place[last:]])
    return line


def _at(line: Points, place: NDArray[np.float64], along: float) -> Points:
    """Return the (2,) point so far along a line; `place` is how far along its vertices are."""
    return np.array([np.interp(along, place, line[:, k]) for k in (0, 1)])


def _bend_degrees(before: Points, here: Points, after: Points) -> float:
    """Return by how much the way from point to point turns."""
    come, go = here - before, after - here
    return float(np.degrees(abs(np.arctan2(come[0] * go[1] - come[1] * go[0], come @ go))))


def _to_holes(line: Points, holes: Points, spacing: float) -> Points:
    """Let a line end at the holes next to its ends."""
    if (line[0] == line[-1]).all():
        return line
    line = line.copy()
    for end, inner in ((0, 1), (-1, -2)):
        away = np.hypot(*(holes - line[end]).T)
        # The hole must lie ahead or close by, not behind: a line is not bent back.
        run = line[end] - line[inner]
        ahead = (holes - line[inner]) @ run > 0
        near = (ahead | (away < 0.3 * spacing)) & (away < ENDS_AT_HOLE * spacing)
        if near.any():
            step = holes - line[end]
            aside = np.abs(step @ (-run[1], run[0])) / max(float(np.hypot(*run)), 1e-9)
            merit = np.where(near, away + ASIDE * aside, np.inf)
            line[end] = holes[merit.argmin()]
    return line


def describe_pens(
    colours: Colouring, found: Pens, strokes: tuple[Stroke, ...], per_mm: float
) -> tuple[Pen, ...]:
    """Say of every pen what colour it has and what was drawn with it."""
    cell_mm = colours.cell / per_mm
    pens = []
    for k, tone in enumerate(found.tones):
        blobs = [blob for blob in found.blobs if blob.pen == k]
        widths = [stroke.width / per_mm for stroke in strokes if stroke.pen == k + 1]
        pens.append(
            Pen(
                number=k + 1,
                lab=tone,
                hex=hex_colour(srgb_from_lab(tone)),
                area_mm2=float(sum(int(blob.mask.sum()) for blob in blobs) * cell_mm**2),
                areas=sum(not blob.thin for blob in blobs),
                strokes=len(widths),
                width_mm=float(np.median(widths)) if widths else 0.0,
            )
        )
    return tuple(pens)

"""Mend what a hand left uneven: gaps between strokes, specks, lines cut by the holes on them."""

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.spatial import cKDTree

from render.scan.blobs import LEAST_AREA, WIDEST_STROKE, components
from render.scan.colouring import Colouring
from render.scan.model import Points

Mask = NDArray[np.bool_]

CLOSED_GAP = 0.10  # grains
BESIDE = 0.3  # spacings from a line between holes at which its sides are looked at
PALER = 0.78  # of the depth of colour on both sides
OVER_HOLE = 0.3  # spacings from the middle of a hole that a pen line goes on over it


def healed_mask(colours: Colouring, holes: Points) -> tuple[Mask, int]:
    """Close gaps between strokes, drop specks and hairs; count both.

    Parameters
    ----------
    holes
        (N, 2) in pixels.
    """
    spacing, border = colours.spacing, _borders(colours, holes)
    mask = colours.coloured & ~border
    disc = _disc(CLOSED_GAP * colours.grain)
    closed = ndimage.binary_closing(np.pad(mask, 9), disc)[9:-9, 9:-9] & ~border
    closed |= mask
    gaps = ndimage.label(closed & ~mask)[1]
    empty, count = ndimage.label(~closed)
    sizes = np.bincount(empty.ravel(), minlength=count + 1)
    small = sizes < LEAST_AREA * spacing**2
    small[0] = False
    small[np.unique(empty[border])] = False
    closed |= small[empty]
    opened = ndimage.binary_opening(closed, disc)
    specks = ndimage.label(closed & ~ndimage.binary_dilation(opened, disc))[1]
    return _over_holes(opened, colours, holes), gaps + int(small.sum()) + specks


def _over_holes(mask: Mask, colours: Colouring, holes: Points) -> Mask:
    """Lead pen lines on over the holes that they run through."""
    thin = np.zeros_like(mask)
    for blob, box in components(mask, 0, colours.spacing):
        if blob.radius < WIDEST_STROKE * colours.spacing:
            thin[box] |= blob.mask[1:-1, 1:-1]
    if not thin.any():
        return mask
    reach = OVER_HOLE * colours.spacing
    far = int(reach) + 2
    joined = ndimage.binary_closing(np.pad(thin, far), _disc(reach))[far:-far, far:-far]
    at_hole = np.ones_like(mask)
    cells = colours.to_cells(holes)
    inside = ((cells >= 0) & (cells < np.array(mask.shape[::-1]) - 0.5)).all(axis=1)
    at_hole[_cells_at(mask, cells[inside])] = False
    near = ndimage.distance_transform_edt(at_hole) < reach
    return np.asarray(mask | (joined & near))


def _borders(colours: Colouring, holes: Points) -> Mask:
    """Return the bare lines from hole to hole that part two areas of one pen."""
    cells = colours.to_cells(holes)
    border = np.zeros_like(colours.coloured)
    pairs = cKDTree(cells).query_pairs(1.25 * colours.spacing, output_type="ndarray")
    if not len(pairs):
        return border
    start, step = cells[pairs[:, 0], None], (cells[pairs[:, 1]] - cells[pairs[:, 0]])[:, None]
    line = start + np.linspace(0, 1, int(2.5 * colours.spacing))[:, None] * step
    # The holes themselves do not count: there, colour is carried on from around.
    between = start + np.linspace(0.22, 0.78, int(1.4 * colours.spacing))[:, None] * step
    beside = BESIDE * step[..., ::-1] * (-1, 1)
    own, first, second = (_cells_at(border, between + off) for off in (0, beside, -beside))
    bare = (~colours.coloured[own]).mean(axis=1) > 0.8
    depth = np.hypot.reduce(colours.sharp - (100, 0, 0), axis=2)
    sides = np.minimum(depth[first].mean(axis=1), depth[second].mean(axis=1))
    amid = (colours.coloured[first].mean(axis=1) > 0.8) & (
        colours.coloured[second].mean(axis=1) > 0.8
    )
    # What blur and the coarse colours of a JPEG leave of a narrow gap is a paler line.
    bare |= amid & (depth[own].mean(axis=1) < PALER * sides)
    border[_cells_at(border, line[bare])] = True
    return border | ndimage.binary_dilation(border) & ~colours.coloured


def _cells_at(mask: Mask, points: Points) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the row and column of the cells that (..., 2) points lie in."""
    last = np.array(mask.shape[::-1]) - 1
    column, row = np.moveaxis(np.clip(np.rint(points).astype(int), 0, last), -1, 0)
    return row, column


def _disc(radius: float) -> Mask:
    """Return a disc as a structuring element."""
    reach = max(int(radius + 0.5), 1)
    r, c = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    disc: Mask = np.hypot(r, c) <= max(radius, 1.0) + 0.3
    return disc

"""Part the cells of every pen into shapes: areas and strokes."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

Mask = NDArray[np.bool_]

# All in spacings, so that a fine and a coarse pricking are treated alike.
LEAST_RADIUS = 0.27  # an area between four holes, coloured well inside them, has 0.35
LEAST_AREA = 0.3
WIDEST_STROKE = 0.35
SHORTEST_STROKE = 2.0


@dataclass(frozen=True, eq=False)
class Blob:
    """The cells of one shape: the pen's index, their mask in its box, and the box's corner.

    Attributes
    ----------
    pen
        Index of the pen, from 0.
    mask
        (r, c) true in the shape; its outermost cells are false.
    corner
        (column, row) of the first cell of `mask`.
    thin
        Whether it is a stroke rather than an area.
    radius
        Half its greatest width, in cells.
    """

    pen: int
    mask: Mask
    corner: tuple[int, int]
    thin: bool
    radius: float


def blobs_of(
    pen: NDArray[np.intp], mask: Mask, count: int, spacing: float
) -> tuple[list[Blob], int]:
    """Part every pen's cells into shapes; slivers go to the neighbour, in place in `pen`.

    Parameters
    ----------
    pen
        (R, C) index of the pen of every cell, -1 for none.
    mask
        (R, C) true where a pen was.
    count
        How many pens there are.
    spacing
        From hole to hole, in cells.

    Returns
    -------
    The shapes, and how many slivers there were.
    """
    slivers = 0
    for last in (False, True):
        shapes, worn = [], np.zeros_like(mask)
        for k in range(count):
            for blob, box in components(pen == k, k, spacing):
                area = int(blob.mask.sum())
                small = blob.radius < LEAST_RADIUS * spacing or area < LEAST_AREA * spacing**2
                if small and not blob.thin:
                    worn[box] |= blob.mask[1:-1, 1:-1]
                    slivers += not last
                else:
                    shapes.append(blob)
        if last or not worn.any():
            break
        kept = mask & ~worn
        if kept.any():
            row, column = ndimage.distance_transform_edt(
                ~kept, return_distances=False, return_indices=True
            )
            pen[worn] = pen[row, column][worn]
            # Only where the neighbour really touches does a sliver belong to it.
            near = ndimage.binary_propagation(kept, mask=mask)
            pen[worn & ~near] = -1
    return shapes, slivers


def components(mask: Mask, pen: int, spacing: float) -> list[tuple[Blob, tuple[slice, slice]]]:
    """Return the connected shapes of a mask with their boxes among all cells."""
    labels, _ = ndimage.label(mask)
    found = []
    for number, box in enumerate(ndimage.find_objects(labels), 1):
        own = np.pad(labels[box] == number, 1)
        depth = ndimage.distance_transform_edt(own)
        radius = float(depth.max())
        long = float(own.sum()) / (2 * radius) > SHORTEST_STROKE * spacing
        thin = radius < WIDEST_STROKE * spacing and long
        corner = (box[1].start - 1, box[0].start - 1)
        found.append((Blob(pen, own, corner, thin, radius), (box[0], box[1])))
    return found


def under_strokes(
    pen: NDArray[np.intp], mask: Mask, blobs: list[Blob], count: int, spacing: float
) -> list[Blob]:
    """Join the areas that a stroke was drawn across; replaces them in `blobs`."""
    stroke = np.zeros_like(mask)
    for blob in blobs:
        if blob.thin:
            box, inner = box_of(blob)
            stroke[box] |= inner
    if not stroke.any():
        return []
    width = 0.25 * spacing
    best = ndimage.gaussian_filter((~mask).astype(np.float32), width)
    under = np.full(pen.shape, -1, np.intp)
    for k in range(count):
        share = ndimage.gaussian_filter(((pen == k) & mask & ~stroke).astype(np.float32), width)
        more = share > best
        best[more], under[more] = share[more], k
    below = np.where(stroke, under, pen)
    below[~mask] = -1
    strokes = [blob for blob in blobs if blob.thin]
    areas, _ = blobs_of(below, mask, count, spacing)
    blobs[:] = strokes
    return [blob for blob in areas if not blob.thin]


def box_of(blob: Blob) -> tuple[tuple[slice, slice], Mask]:
    """Return where a shape lies among all cells, and its cells there."""
    column, row = blob.corner
    inner = blob.mask[1:-1, 1:-1]
    across = slice(column + 1, column + 1 + inner.shape[1])
    return (slice(row + 1, row + 1 + inner.shape[0]), across), inner

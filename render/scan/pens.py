"""Group the colours of a copy into pens, and every pen's cells into shapes."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.spatial import cKDTree

from render.scan.colouring import Colouring
from render.scan.model import Plane, Points

Mask = NDArray[np.bool_]

ONE_PEN = 7.0  # distance of `colour_distance` within which two tones are of one pen
BIN = np.array([4.0, 3.0, 3.0])
# All in spacings, so that a fine and a coarse pricking are treated alike.
CLOSED_GAP = 0.10
LEAST_RADIUS = 0.27  # an area between four holes, coloured well inside them, has 0.35
LEAST_AREA = 0.3
RIM = 0.4
BESIDE = 0.3  # how far from a line between holes its sides are looked at
PALER = 0.78  # of the depth of colour on both sides
PLAIN = 1.35  # times the least chroma, which chance does not reach over a whole patch
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


@dataclass(frozen=True, eq=False)
class Pens:
    """The pens of a copy.

    Attributes
    ----------
    tones
        (P, 3) CIELAB, the pen that covers most first.
    blobs
        All shapes.
    healed
        Specks, gaps and slivers narrower than the holes are apart, that were set right.
    faint
        Patches so little coloured that they were taken for paper.
    """

    tones: NDArray[np.float64]
    blobs: tuple[Blob, ...]
    healed: int
    faint: int = 0


def colour_distance(first: NDArray[np.floating], second: NDArray[np.floating]) -> Plane:
    """Return how likely two tones are different pens.

    Parameters
    ----------
    first, second
        (..., 3) CIELAB; they broadcast.

    Returns
    -------
    (...) distances. A pen laid on twice, or pressed harder, keeps its hue and changes in chroma
    and lightness, so those count less.
    """
    l1, a1, b1 = np.moveaxis(np.asarray(first), -1, 0)
    l2, a2, b2 = np.moveaxis(np.asarray(second), -1, 0)
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    chroma = c1 - c2
    hue_squared = np.maximum((a1 - a2) ** 2 + (b1 - b2) ** 2 - chroma**2, 0)
    distance: Plane = np.sqrt(hue_squared + (0.4 * chroma) ** 2 + (0.25 * (l1 - l2)) ** 2)
    return distance


def find_pens(colours: Colouring, holes: Points) -> Pens:
    """Tell the pens apart and find their shapes.

    Parameters
    ----------
    holes
        (N, 2) in pixels.
    """
    tones = _tones(colours)
    if not len(tones):
        return Pens(np.empty((0, 3)), (), 0)
    pen = _nearest_pen(colours.lab, tones)
    coloured, gaps = _healed_mask(colours, holes)
    pen = _settled(pen, coloured, len(tones), colours.spacing)
    coloured &= ~_take_in_halos(pen, colours, tones)
    blobs, slivers = _blobs(pen, coloured, len(tones), colours.spacing)
    blobs += _under_strokes(pen, coloured, blobs, len(tones), colours.spacing)
    plain = [blob for blob in blobs if _is_plain(colours, blob)]
    return _by_area(colours, tones, plain, gaps + slivers, len(blobs) - len(plain))


def _tones(colours: Colouring) -> NDArray[np.float64]:
    """Return the tones that cover something worth calling an area."""
    least = LEAST_AREA * colours.spacing**2
    points = colours.tone[colours.coloured].astype(float)
    if len(points) < least:
        return np.empty((0, 3))
    low = points.min(axis=0) - 3 * BIN
    index = ((points - low) / BIN).astype(int)
    counts = np.zeros(index.max(axis=0) + 5)
    np.add.at(counts, tuple(index.T), 1.0)
    smooth = ndimage.gaussian_filter(counts, 1.0)
    tops = (smooth == ndimage.maximum_filter(smooth, 3)) & (smooth > 0.02 * least)
    places = np.argwhere(tops)
    places = places[np.argsort(-smooth[tops], kind="stable")]
    tones = _apart((places + 0.5) * BIN + low)
    for _ in range(4):
        nearest = _nearest_pen(points, tones)
        held = [points[nearest == k] for k in range(len(tones))]
        held.sort(key=len, reverse=True)
        tones = _apart(np.array([np.median(h, axis=0) for h in held if len(h) > least]))
    return tones


def _apart(tones: NDArray[np.float64]) -> NDArray[np.float64]:
    """Keep the tones that are no shade of an earlier one."""
    kept: list[NDArray[np.float64]] = []
    for tone in tones:
        if all(colour_distance(tone, other) > ONE_PEN for other in kept):
            kept.append(tone)
    return np.array(kept).reshape(-1, 3)


def _nearest_pen(lab: NDArray[np.floating], tones: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return the index of the tone nearest to each colour."""
    best = np.full(lab.shape[:-1], np.inf, np.float32)
    index = np.zeros(lab.shape[:-1], np.intp)
    for k, tone in enumerate(tones):
        distance = colour_distance(lab, tone)
        closer = distance < best
        best[closer], index[closer] = distance[closer], k
    return index


def _disc(radius: float) -> Mask:
    """Return a disc as a structuring element."""
    reach = max(int(radius + 0.5), 1)
    r, c = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    disc: Mask = np.hypot(r, c) <= max(radius, 1.0) + 0.3
    return disc


def _healed_mask(colours: Colouring, holes: Points) -> tuple[Mask, int]:
    """Close gaps between strokes, drop specks and hairs; count both."""
    spacing, border = colours.spacing, _borders(colours, holes)
    mask = colours.coloured & ~border
    disc = _disc(CLOSED_GAP * spacing)
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
    return opened, gaps + int(small.sum()) + specks


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


def _settled(pen: NDArray[np.intp], mask: Mask, count: int, spacing: float) -> NDArray[np.intp]:
    """Let each cell take the pen that most cells around it have."""
    best = np.zeros(pen.shape, np.float32)
    settled = np.full(pen.shape, -1, np.intp)
    for k in range(count):
        share = ndimage.gaussian_filter(((pen == k) & mask).astype(np.float32), 0.1 * spacing)
        more = share > best
        best[more], settled[more] = share[more], k
    settled[~mask] = -1
    return settled


def _take_in_halos(pen: NDArray[np.intp], colours: Colouring, tones: NDArray[np.float64]) -> Mask:
    """Undo pens that are but the blurred rim of a stronger one of their hue.

    Returns
    -------
    (R, C) cells of the rim that are too pale for the stronger pen; the others become its own, in
    place in `pen`.
    """
    bare = np.zeros(pen.shape, bool)
    chroma = np.hypot(tones[:, 1], tones[:, 2])
    hue = np.arctan2(tones[:, 2], tones[:, 1])
    lab_chroma = np.hypot(colours.lab[..., 1], colours.lab[..., 2])
    for weak, strong in np.argwhere(chroma[:, None] < 0.75 * chroma[None]):
        if np.cos(hue[weak] - hue[strong]) < np.cos(np.radians(25)):
            continue
        near = ndimage.distance_transform_edt(pen != strong) < RIM * colours.spacing
        for blob, box in _components(pen == weak, int(weak), colours.spacing):
            own = blob.mask[1:-1, 1:-1]
            if blob.radius < WIDEST_STROKE * colours.spacing and near[box][own].mean() > 0.7:
                pale = own & (lab_chroma[box] < 0.45 * chroma[strong])
                pen[box][own & ~pale] = strong
                pen[box][pale] = -1
                bare[box] |= pale
    return bare


def _blobs(pen: NDArray[np.intp], mask: Mask, count: int, spacing: float) -> tuple[list[Blob], int]:
    """Part every pen's cells into shapes; slivers go to the neighbour, in place in `pen`."""
    slivers = 0
    for last in (False, True):
        shapes, worn = [], np.zeros_like(mask)
        for k in range(count):
            for blob, box in _components(pen == k, k, spacing):
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


def _components(mask: Mask, pen: int, spacing: float) -> list[tuple[Blob, tuple[slice, slice]]]:
    """Return the connected shapes of a mask with their boxes."""
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


def _under_strokes(
    pen: NDArray[np.intp], mask: Mask, blobs: list[Blob], count: int, spacing: float
) -> list[Blob]:
    """Join the areas that a stroke was drawn across; replaces them in `blobs`."""
    stroke = np.zeros_like(mask)
    for blob in blobs:
        if blob.thin:
            box, inner = _box(blob)
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
    areas, _ = _blobs(below, mask, count, spacing)
    blobs[:] = strokes
    return [blob for blob in areas if not blob.thin]


def _by_area(
    colours: Colouring, tones: NDArray[np.float64], blobs: list[Blob], healed: int, faint: int
) -> Pens:
    """Return the pens by what they cover, their colour taken from their own shapes."""
    cover = np.zeros(len(tones))
    for blob in blobs:
        cover[blob.pen] += blob.mask.sum()
    order = [int(k) for k in np.argsort(-cover, kind="stable") if cover[k] > 0]
    colour = []
    for k in order:
        own = [_core(colours, blob) for blob in blobs if blob.pen == k]
        colour.append(np.median(np.concatenate(own), axis=0))
    number = {k: n for n, k in enumerate(order)}
    renumbered = [
        Blob(number[b.pen], b.mask, b.corner, b.thin, b.radius)
        for b in sorted(blobs, key=lambda b: (number[b.pen], b.corner[1], b.corner[0]))
    ]
    return Pens(np.array(colour, float).reshape(-1, 3), tuple(renumbered), healed, faint)


def _box(blob: Blob) -> tuple[tuple[slice, slice], Mask]:
    """Return where a shape lies among all cells, and its cells there."""
    column, row = blob.corner
    inner = blob.mask[1:-1, 1:-1]
    across = slice(column + 1, column + 1 + inner.shape[1])
    return (slice(row + 1, row + 1 + inner.shape[0]), across), inner


def _is_plain(colours: Colouring, blob: Blob) -> bool:
    """Tell whether a shape is coloured clearly more than noise could be."""
    box, inner = _box(blob)
    lab = colours.lab[box][inner]
    return float(np.median(np.hypot(lab[:, 1], lab[:, 2]))) > PLAIN * colours.least_chroma


def _core(colours: Colouring, blob: Blob) -> Plane:
    """Return the (n, 3) colours of a shape where its edges do not pale them."""
    box, inner = _box(blob)
    lab = colours.sharp[box][inner & colours.coloured[box]]
    if blob.thin:
        chroma = np.hypot(lab[:, 1], lab[:, 2])
        lab = lab[chroma >= np.percentile(chroma, 70)]
    return np.asarray(lab, np.float32)

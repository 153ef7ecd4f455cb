"""Group the colours of a copy into pens."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from render.scan.blobs import (
    LEAST_AREA,
    WIDEST_STROKE,
    Blob,
    Mask,
    blobs_of,
    box_of,
    components,
    under_strokes,
)
from render.scan.colouring import Colouring
from render.scan.mending import healed_mask
from render.scan.model import Plane, Points

ONE_PEN = 7.0  # distance of `colour_distance` within which two tones are of one pen
BIN = np.array([4.0, 3.0, 3.0])
RIM = 0.4  # grains
PLAIN = 1.35  # times the least chroma, which chance does not reach over a whole patch


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
    coloured, gaps = healed_mask(colours, holes)
    pen = _settled(pen, coloured, len(tones), 0.1 * colours.grain)
    coloured &= ~_take_in_halos(pen, colours, tones)
    blobs, slivers = blobs_of(pen, coloured, len(tones), colours.spacing)
    blobs += under_strokes(pen, coloured, blobs, len(tones), colours.spacing)
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


def _settled(pen: NDArray[np.intp], mask: Mask, count: int, width: float) -> NDArray[np.intp]:
    """Let each cell take the pen that most cells around it have."""
    best = np.zeros(pen.shape, np.float32)
    settled = np.full(pen.shape, -1, np.intp)
    for k in range(count):
        share = ndimage.gaussian_filter(((pen == k) & mask).astype(np.float32), width)
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
        near = ndimage.distance_transform_edt(pen != strong) < RIM * colours.grain
        for blob, box in components(pen == weak, int(weak), colours.spacing):
            own = blob.mask[1:-1, 1:-1]
            if blob.radius < WIDEST_STROKE * colours.spacing and near[box][own].mean() > 0.7:
                pale = own & (lab_chroma[box] < 0.45 * chroma[strong])
                pen[box][own & ~pale] = strong
                pen[box][pale] = -1
                bare[box] |= pale
    return bare


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


def _is_plain(colours: Colouring, blob: Blob) -> bool:
    """Tell whether a shape is coloured clearly more than noise could be."""
    box, inner = box_of(blob)
    lab = colours.lab[box][inner]
    return float(np.median(np.hypot(lab[:, 1], lab[:, 2]))) > PLAIN * colours.least_chroma


def _core(colours: Colouring, blob: Blob) -> Plane:
    """Return the (n, 3) colours of a shape where its edges do not pale them."""
    box, inner = box_of(blob)
    lab = colours.sharp[box][inner & colours.coloured[box]]
    if blob.thin:
        chroma = np.hypot(lab[:, 1], lab[:, 2])
        lab = lab[chroma >= np.percentile(chroma, 70)]
    return np.asarray(lab, np.float32)

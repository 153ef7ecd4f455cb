"""Look at the pen colours of a flattened picture, the print taken out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from render.colour.lab import WHITE_D65, XYZ_FROM_LINEAR, lab_from_xyz
from render.colour.srgb import srgb_from_linear
from render.scan.model import Dots, Plane, Points

CELLS_PER_GRAIN = 14
COARSEST_GRAIN_MM = 3.0  # pens are no broader on a coarse pricking
INK = 0.16  # share of light below which nothing but printer's ink is left
LEAST_CHROMA = 4.0  # paper that was flattened keeps one or two
FINE, BROAD = 0.09, 0.25  # grains over which colours are smoothed
EDGE, EDGE_ROUNDS = 0.5, 3
LEAST_BARE = 0.3  # share of a cell without print that is enough to see its colour
GREY_LIGHTNESS, GREY_BREADTH = 91.0, 0.8  # CIELAB, and grains
MARGIN = 2.5  # spacings round the holes that are looked at


@dataclass(frozen=True, eq=False)
class Colouring:
    """Colours on a grid of cells round the pricking.

    Attributes
    ----------
    sharp, lab
        (R, C, 3) CIELAB against the bare paper, without the print; as it is, and lightly smoothed.
    tone
        (R, C, 3) the same smoothed over a good part of a spacing, within the coloured cells.
    coloured
        (R, C) true where a pen was.
    least_chroma
        What chroma is more than noise.
    spacing
        Cells from hole to hole.
    grain
        Cells that a pen's gaps and edges are measured by: the spacing, or less on coarse prickings.
    origin, cell
        Pixel position (x, y) of the middle of the first cell, and pixels in a cell.
    """

    sharp: Plane
    lab: Plane
    tone: Plane
    coloured: NDArray[np.bool_]
    least_chroma: float
    spacing: float
    grain: float
    origin: tuple[float, float]
    cell: int

    def to_cells(self, points: Points) -> Points:
        """Turn (N, 2) pixel positions into cells, (column, row)."""
        cells: Points = (points - self.origin) / self.cell
        return cells

    def to_pixels(self, cells: Points) -> Points:
        """Turn (N, 2) positions in cells back."""
        points: Points = cells * self.cell + self.origin
        return points


def look_at_colours(flat: Plane, holes: Dots, spacing_px: float, per_mm: float) -> Colouring:
    """Find where pens were and what their colour is.

    Parameters
    ----------
    flat
        (H, W, 3) share of light thrown back, 1 on bare paper.
    spacing_px
        From hole to hole.
    per_mm
        Pixels for a millimetre.
    """
    grain_px = min(spacing_px, COARSEST_GRAIN_MM * per_mm)
    cell = max(1, round(grain_px / CELLS_PER_GRAIN))
    size = np.array(flat.shape[1::-1])
    low = np.clip(holes.centres.min(axis=0) - MARGIN * spacing_px, 0, size - cell).astype(int)
    high = np.clip(holes.centres.max(axis=0) + MARGIN * spacing_px, low + cell, size).astype(int)
    rows, columns = (high - low)[::-1] // cell
    part = flat[low[1] : low[1] + rows * cell, low[0] : low[0] + columns * cell]
    spacing, grain = spacing_px / cell, grain_px / cell
    sharp = _without_print(part, cell, holes, low)
    lab = ndimage.gaussian_filter(sharp, (FINE * grain, FINE * grain, 0))
    tint = _paper_tint(lab, 3 * spacing)
    lab -= tint
    sharp -= tint
    chroma = np.hypot(lab[..., 1], lab[..., 2])
    least = _least_chroma(chroma)
    coloured = chroma > least
    for _ in range(EDGE_ROUNDS):
        # A pen ends where half of it is left, not where the last of its blur is lost.
        tone = _smoothed_within(lab, coloured, BROAD * grain)
        coloured &= chroma > EDGE * np.hypot(tone[..., 1], tone[..., 2])
    half = (cell - 1) / 2
    origin = float(low[0] + half), float(low[1] + half)
    return Colouring(sharp, lab, tone, coloured, least, spacing, grain, origin, cell)


def grey_cells(colours: Colouring) -> int:
    """Count the cells of plain grey patches that are broader than lines and print.

    A grey pen leaves them, but so do shadows, folds and hatching, and nothing tells which it was.
    """
    chroma = np.hypot(colours.lab[..., 1], colours.lab[..., 2])
    grey = (chroma < colours.least_chroma) & (colours.lab[..., 0] < GREY_LIGHTNESS)
    width = 2 * int(GREY_BREADTH * colours.grain / 2) + 1
    broad = ndimage.binary_opening(grey, np.ones((width, width), bool))
    return int(broad.sum())


def _without_print(part: Plane, cell: int, holes: Dots, low: NDArray[np.int_]) -> Plane:
    """Return the mean CIELAB of each cell, carried on from around where there is print."""
    height, width = part.shape[:2]
    ink = part.max(axis=2) < INK
    ink = ndimage.binary_dilation(ink, iterations=max(1, cell // 2 + 1))
    blank = np.where(ink, np.float32(0), np.float32(1))
    for (x, y), radius in zip(holes.centres - low, holes.radius * 1.3 + 1, strict=True):
        c0, c1 = max(int(x - radius), 0), int(x + radius) + 2
        r0, r1 = max(int(y - radius), 0), int(y + radius) + 2
        r, c = np.ogrid[r0 : min(r1, height), c0 : min(c1, width)]
        blank[r0:r1, c0:c1][(r - y) ** 2 + (c - x) ** 2 < radius**2] = 0
    shape = (height // cell, cell, width // cell, cell)
    weight = blank.reshape(shape).mean(axis=(1, 3))
    light = np.stack(
        [(part[..., k] * blank).reshape(shape).mean(axis=(1, 3)) for k in range(3)], axis=2
    )
    bare = weight < LEAST_BARE
    if bare.any() and not bare.all():
        nearest = ndimage.distance_transform_edt(bare, return_distances=False, return_indices=True)
        row, column = nearest
        light, weight = light[row, column], weight[row, column]
    reflected = np.clip(light / np.maximum(weight, 1e-4)[..., None], 0, 1.05)
    return np.asarray(lab_from_xyz(reflected @ XYZ_FROM_LINEAR.T), np.float32)


def _paper_tint(lab: Plane, width: float) -> Plane:
    """Return the tint that the paper was left with, carried on under the pens; 0 in lightness."""
    step = max(1, int(width / 4))
    coarse = lab[::step, ::step]
    chroma = np.hypot(coarse[..., 1], coarse[..., 2])
    paper = chroma < max(LEAST_CHROMA, 2.0 * float(np.median(chroma)))
    tint = _smoothed_within(coarse, paper, width / step)
    tint[..., 0] = 0
    tint[np.hypot(tint[..., 1], tint[..., 2]) > LEAST_CHROMA] = 0
    rows, columns = (np.arange(n) / step for n in lab.shape[:2])
    places = np.meshgrid(rows, columns, indexing="ij")
    fine = [ndimage.map_coordinates(tint[..., k], places, order=1, mode="nearest") for k in (1, 2)]
    return np.stack([np.zeros(lab.shape[:2]), *fine], axis=2).astype(np.float32)


def _least_chroma(chroma: Plane) -> float:
    """Return how much colour is more than noise.

    The chroma of noisy grey follows Rayleigh's distribution, whose median is 1.18 of its scale;
    one cell in a hundred thousand is above 4.8 of it.
    """
    quiet = chroma[chroma < 2 * LEAST_CHROMA]
    if not quiet.size:
        return LEAST_CHROMA
    return max(LEAST_CHROMA, 4.8 / 1.18 * float(np.median(quiet)))


def _smoothed_within(lab: Plane, mask: NDArray[np.bool_], width: float) -> Plane:
    """Return colours smoothed over the true cells alone."""
    weight = ndimage.gaussian_filter(mask.astype(np.float32), width)
    total = ndimage.gaussian_filter(lab * mask[..., None], (width, width, 0))
    return np.asarray(total / np.maximum(weight, 1e-3)[..., None], np.float32)


def srgb_from_lab(lab: NDArray[np.floating]) -> NDArray[np.float64]:
    """Return (..., 3) sRGB, 0 to 1, of CIELAB under D65; what sRGB cannot show is clipped.

    References
    ----------
    .. CIE 15:2004, Colorimetry, 3rd ed., section 8.2.1 and appendix D
    """
    lightness, a, b = np.moveaxis(np.asarray(lab, float), -1, 0)
    y = (lightness + 16) / 116
    bent = np.stack([y + a / 500, y, y - b / 200], axis=-1)
    ratio = np.where(bent > 6 / 29, bent**3, 3 * (6 / 29) ** 2 * (bent - 4 / 29))
    linear = (ratio * WHITE_D65) @ np.linalg.inv(XYZ_FROM_LINEAR).T
    return np.clip(srgb_from_linear(np.clip(linear, 0, 1)), 0, 1)

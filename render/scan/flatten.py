"""Even out the light, so that bare paper is white everywhere."""

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from render.colour.srgb import linear_from_srgb
from render.scan.model import Pixels, Plane

GRID = 96  # cells along the longer side of the map of light
PAPER_SHARE = 80  # percentile of a cell that is taken for paper: above the ink, below the glints
DEGREE = 3


def flatten(pixels: Pixels) -> Plane:
    """Divide a picture by the light that falls on its paper.

    Parameters
    ----------
    pixels
        (H, W, 3) sRGB.

    Returns
    -------
    (H, W, 3) share of light that is thrown back compared with bare paper: 1 on bare paper of
    any colour under any slowly changing light, less under ink, more where something is lighter
    than the paper.
    """
    linear = linear_from_srgb(np.arange(256) / 255).astype(np.float32)
    height, width = pixels.shape[:2]
    cell = max(1, -(-max(height, width) // GRID))
    light = _paper_light(linear[_cells(pixels, cell)])
    flat = np.empty(pixels.shape, np.float32)
    rows = (np.arange(height) - (cell - 1) / 2) / cell
    columns = (np.arange(width) - (cell - 1) / 2) / cell
    for channel in range(3):
        across = _interpolated(light[..., channel].T, columns).T
        flat[..., channel] = linear[pixels[..., channel]]
        flat[..., channel] /= _interpolated(across, rows)
    return flat


def _cells(pixels: Pixels, cell: int) -> Pixels:
    """Return the (R, C, 3) tone that a given share of each square cell stays below."""
    height, width = pixels.shape[:2]
    step = max(1, cell // 24)
    down, across = -height % cell, -width % cell
    padded = np.pad(pixels, ((0, down), (0, across), (0, 0)), mode="edge")
    tiles = padded.reshape(padded.shape[0] // cell, cell, padded.shape[1] // cell, cell, 3)
    thinned = tiles[:, ::step, :, ::step]
    shares = np.percentile(thinned, PAPER_SHARE, axis=(1, 3), method="nearest")
    return shares.astype(np.uint8)


def _paper_light(cells: Plane) -> Plane:
    """Return the light on the paper in each cell, carried on under coloured cells."""
    rows, columns = cells.shape[:2]
    y, x = np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j] if rows * columns > 1 else (
        np.zeros((2, 1, 1))
    )  # fmt: skip
    degree = DEGREE if min(rows, columns) > 2 * DEGREE else 0
    terms = [x**i * y**j for i in range(degree + 1) for j in range(degree + 1 - i)]
    basis = np.stack([term.ravel() for term in terms], axis=1)
    tone = np.log(np.maximum(cells.reshape(-1, 3), 1e-3))
    paper = _most_common_tone(tone)
    for _ in range(8):
        fit = basis @ np.linalg.lstsq(basis[paper], tone[paper], rcond=None)[0]
        off = np.abs(tone - fit).max(axis=1)
        spread = 1.5 * np.median(off[paper]) + 0.02
        settled = off < max(0.06, 2.5 * spread)
        if settled.sum() < 3 * basis.shape[1] or np.array_equal(settled, paper):
            break
        paper = settled
    # What the smooth fit leaves over is itself smoothed, from bare paper only.
    left = ((tone - fit) * paper[:, None]).reshape(rows, columns, 3)
    weight = ndimage.gaussian_filter(paper.reshape(rows, columns).astype(float), 1.5) + 1e-3
    smooth = ndimage.gaussian_filter(left, (1.5, 1.5, 0)) / weight[..., None]
    return np.asarray(np.exp(fit.reshape(rows, columns, 3) + smooth), np.float32)


def _most_common_tone(tone: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Return which cells are of the lightest tone that is common: the paper to begin with."""
    brightness = tone.mean(axis=1)
    tint = tone - brightness[:, None]
    near = np.abs(tint - np.median(tint, axis=0)).max(axis=1) < 0.12
    share = near & (brightness > np.percentile(brightness, 50) - 0.05)
    return share if share.sum() >= 3 * len(tone) // 20 else np.ones(len(tone), bool)


def _interpolated(values: Plane, at: NDArray[np.float64]) -> Plane:
    """Return rows between the given ones, the first and last held beyond the ends."""
    low = np.clip(np.floor(at).astype(int), 0, max(len(values) - 2, 0))
    high = np.minimum(low + 1, len(values) - 1)
    share = np.clip(at - low, 0, 1).astype(np.float32)[:, None]
    between: Plane = values[low] * (1 - share) + values[high] * share
    return between

"""Find round spots of any size, good or bad; what they are is judged later."""

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.spatial import cKDTree

from render.scan.model import Plane, Points

SCALES_PER_OCTAVE = 3
FINEST_SIGMA, COARSEST_SIGMA = 1.0, 2.2  # of the filter, in pixels of a level of the pyramid
LEAST_RESPONSE = 0.1  # a full disc of full contrast answers with 2/e
NEAR = 1.1  # sigmas within which a weaker answer is to the same spot
SAME_PLACE = 0.4  # radii within which spots of one size are the same


def find_spots(
    darkness: Plane, least_px: float, most_px: float
) -> tuple[Points, NDArray[np.float64]]:
    """Find where a picture is round and darker than around.

    Parameters
    ----------
    darkness
        (H, W), 0 on paper, 1 in black.
    least_px, most_px
        Radii to look for.

    Returns
    -------
    (N, 2) centres (x, y) in pixels, and (N,) radii: maxima of the scale-normalised Laplacian of
    Gaussian in place and scale, whose scale on a disc of radius r is r/√2.

    References
    ----------
    .. T. Lindeberg, "Feature detection with automatic scale selection", International Journal of
       Computer Vision 30 (1998) 79-116, section 3 and 5.1
    """
    spots = _strongest(_answers(darkness, _sigmas(least_px, most_px)))
    return spots[:, :2], spots[:, 2] * np.sqrt(2)


def spots_of_size(darkness: Plane, radius_px: float) -> Points:
    """Return (N, 2) centres of spots of about one radius, those of larger things included."""
    # A disc answers best at 1, a drawn circle at 1.4 and more.
    sigmas = radius_px / np.sqrt(2) * np.array([0.8, 1.1, 1.55])
    spots = _answers(darkness, np.maximum(sigmas, FINEST_SIGMA))
    spots[:, 2] = SAME_PLACE * radius_px / NEAR
    places: Points = _strongest(spots)[:, :2]
    return places


def _answers(darkness: Plane, sigmas: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return (n, 4) of x, y, sigma and response, the strongest first; `sigmas` must rise.

    Each smoothing goes on from the one before, at half the resolution where that is enough.
    """
    found = []
    level, smooth, done = 1, darkness, 0.0
    for sigma in sigmas:
        while sigma / level > COARSEST_SIGMA and min(smooth.shape) >= 16:
            # The mean of two pixels smooths by half a pixel more.
            level, smooth, done = 2 * level, _halved(smooth), np.hypot(done, level / 2)
        more = np.sqrt(max(sigma**2 - done**2, 0.0)) / level
        smooth = ndimage.gaussian_filter(smooth, more, mode="nearest", truncate=3.5)
        done = max(sigma, done)
        found.append(_maxima(smooth, sigma, level))
    spots = np.concatenate(found)
    return spots[np.argsort(-spots[:, 3], kind="stable")]


def _sigmas(least_px: float, most_px: float) -> NDArray[np.float64]:
    """Return the widths of the filters from the finest on."""
    low = max(least_px / np.sqrt(2), FINEST_SIGMA)
    octaves = max(np.log2(most_px / np.sqrt(2) / low), 0)
    steps = np.arange(int(np.ceil(octaves * SCALES_PER_OCTAVE)) + 1) / SCALES_PER_OCTAVE
    return np.asarray(low * 2.0**steps, np.float64)


def _halved(plane: Plane) -> Plane:
    """Return the mean of every two by two pixels."""
    height, width = (n - n % 2 for n in plane.shape)
    even = plane[:height, :width]
    total = even[::2, ::2] + even[1::2, ::2] + even[::2, 1::2] + even[1::2, 1::2]
    return np.asarray(total / 4, np.float32)


def _maxima(smooth: Plane, sigma: float, level: int) -> NDArray[np.float64]:
    """Return (n, 4) of x, y, sigma, response in pixels of the whole picture."""
    answer = ndimage.laplace(smooth, mode="nearest")
    answer *= -((sigma / level) ** 2)
    row, column = np.nonzero(answer[1:-1, 1:-1] > LEAST_RESPONSE)
    row, column = row + 1, column + 1
    for down, across in ((-1, -1), (-1, 0), (-1, 1), (0, -1), (0, 1), (1, -1), (1, 0), (1, 1)):
        top = answer[row, column] >= answer[row + down, column + across]
        row, column = row[top], column[top]
    x, y = ((n + 0.5) * level - 0.5 for n in (column, row))
    return np.column_stack([x, y, np.full(len(x), sigma), answer[row, column]])


def _strongest(spots: NDArray[np.float64]) -> NDArray[np.float64]:
    """Drop the spots that lie in a stronger one; the strongest come first."""
    kept = np.ones(len(spots), bool)
    tree = cKDTree(spots[:, :2])
    for sigma in np.unique(spots[:, 2]):
        own = np.flatnonzero(spots[:, 2] == sigma)
        near = cKDTree(spots[own, :2]).sparse_distance_matrix(
            tree, NEAR * sigma, output_type="ndarray"
        )
        strong, weak = own[near["i"]], near["j"]
        kept[weak[weak > strong]] = False
    return spots[kept]

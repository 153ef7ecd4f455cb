"""Find round spots of any size, good or bad; what they are is judged later."""

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.spatial import cKDTree

from render.scan.model import Plane, Points

SCALES_PER_OCTAVE = 3
FINEST_SIGMA, COARSEST_SIGMA = 1.0, 2.2  # of the filter, in pixels of a level of the pyramid
LEAST_RESPONSE = 0.1  # a full disc of full contrast answers with 2/e


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
    found = []
    level, shrunk = 1, darkness
    for sigma in _sigmas(least_px, most_px):
        while sigma / level > COARSEST_SIGMA and min(shrunk.shape) >= 16:
            level, shrunk = 2 * level, _halved(shrunk)
        found.append(_maxima(shrunk, sigma, level))
    spots = np.concatenate(found)
    spots = _strongest(spots[np.argsort(-spots[:, 3], kind="stable")])
    return spots[:, :2], spots[:, 2] * np.sqrt(2)


def spots_of_size(darkness: Plane, radius_px: float) -> Points:
    """Return (N, 2) centres of spots of about one radius, those of larger things included."""
    found = []
    # A disc answers best at 1, a drawn circle at 1.4 and more.
    for sigma in radius_px / np.sqrt(2) * np.array([0.8, 1.1, 1.55]):
        level, shrunk = 1, darkness
        while sigma / level > COARSEST_SIGMA and min(shrunk.shape) >= 16:
            level, shrunk = 2 * level, _halved(shrunk)
        found.append(_maxima(shrunk, max(sigma, FINEST_SIGMA), level))
    spots: Points = np.concatenate(found)[:, :2]
    return spots


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


def _maxima(plane: Plane, sigma: float, level: int) -> NDArray[np.float64]:
    """Return (n, 4) of x, y, sigma, response in pixels of the whole picture."""
    width = sigma / level
    answer = ndimage.gaussian_laplace(plane, width, output=np.float32, mode="nearest", truncate=3.5)
    answer *= -(width**2)
    tops = (answer > LEAST_RESPONSE) & (answer == ndimage.maximum_filter(answer, 3))
    row, column = np.nonzero(tops)
    x, y = ((n + 0.5) * level - 0.5 for n in (column, row))
    return np.column_stack([x, y, np.full(len(x), sigma), answer[row, column]])


def _strongest(spots: NDArray[np.float64]) -> NDArray[np.float64]:
    """Drop the spots that lie in a stronger one; the strongest come first."""
    if len(spots) < 2:
        return spots
    kept = np.ones(len(spots), bool)
    tree = cKDTree(spots[:, :2])
    for sigma in np.unique(spots[:, 2]):
        own = np.flatnonzero(spots[:, 2] == sigma)
        near = tree.query_ball_point(spots[own, :2], sigma * 1.1)
        counts = np.fromiter(map(len, near), int, len(near))
        strong, weak = np.repeat(own, counts), np.concatenate([np.array(n, int) for n in near])
        kept[weak[weak > strong]] = False
    return spots[kept]

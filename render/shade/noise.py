"""Irregularity without chance: the same place always gives the same number."""

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.floating] | NDArray[np.integer]


def speckle(x: Numbers, y: Numbers | int = 0, kind: int = 0) -> NDArray[np.float32]:
    """Return numbers spread evenly over -1 to 1, one for each pair of whole numbers.

    Parameters
    ----------
    x, y
        Whole numbers of any one shape.
    kind
        Chooses between unrelated patterns.

    References
    ----------
    .. C. Wellons, "Prospecting for hash functions", 2018: the two-round mixer of 32-bit numbers
    """
    mixed = np.asarray(x).astype(np.int64).astype(np.uint32) * np.uint32(0x9E3779B1)
    mixed = mixed ^ (np.asarray(y).astype(np.int64).astype(np.uint32) * np.uint32(0x85EBCA77))
    mixed = mixed ^ np.uint32((kind * 0xC2B2AE3D) & 0xFFFFFFFF)
    mixed = (mixed ^ (mixed >> np.uint32(16))) * np.uint32(0x7FEB352D)
    mixed = (mixed ^ (mixed >> np.uint32(15))) * np.uint32(0x846CA68B)
    mixed = mixed ^ (mixed >> np.uint32(16))
    unit = (mixed >> np.uint32(8)).astype(np.float32) * np.float32(2**-23)
    return np.asarray(unit - np.float32(1), np.float32)


def waver(
    x: NDArray[np.floating],
    y: NDArray[np.floating],
    period: tuple[int, int],
    kind: int = 0,
) -> NDArray[np.float32]:
    """Return smooth hills and hollows, about one to each unit square, -1 to 1.

    Parameters
    ----------
    x, y
        Places, broadcast against each other.
    period
        Whole numbers after which the pattern repeats along x and along y.
    kind
        Chooses between unrelated patterns.
    """
    across, down = period
    corners = speckle(np.arange(across)[:, None], np.arange(down)[None], kind).ravel()
    whole_x, whole_y = np.floor(x), np.floor(y)
    part_x, part_y = (_eased(v - whole) for v, whole in ((x, whole_x), (y, whole_y)))
    left, above = whole_x.astype(np.int64) % across, whole_y.astype(np.int64) % down
    right, below = (left + 1) % across, (above + 1) % down
    upper, lower = (
        _between(corners.take(left * down + v), corners.take(right * down + v), part_x)
        for v in (above, below)
    )
    return _between(upper, lower, part_y)


def _eased(t: NDArray[np.floating]) -> NDArray[np.float32]:
    return np.asarray(t * t * (3 - 2 * t), np.float32)


def _between(
    a: NDArray[np.float32], b: NDArray[np.float32], t: NDArray[np.float32]
) -> NDArray[np.float32]:
    return np.asarray(a + (b - a) * t, np.float32)

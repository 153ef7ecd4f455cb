"""Colours in CIE XYZ and CIELAB."""

import numpy as np
from numpy.typing import ArrayLike

from render.colour.srgb import Colours, linear_from_srgb

XYZ_FROM_LINEAR = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
)
WHITE_D65 = XYZ_FROM_LINEAR.sum(axis=1)


def xyz_from_srgb(srgb: ArrayLike) -> Colours:
    """Return CIE 1931 XYZ under D65, Y of white = 1.

    Parameters
    ----------
    srgb
        (..., 3), 0 to 1.

    Returns
    -------
    (..., 3) X, Y, Z.

    References
    ----------
    .. IEC 61966-2-1:1999, section 5.2
    """
    xyz: Colours = linear_from_srgb(srgb) @ XYZ_FROM_LINEAR.T
    return xyz


def lab_from_xyz(xyz: ArrayLike) -> Colours:
    """Return CIELAB under D65.

    Parameters
    ----------
    xyz
        (..., 3), Y of white = 1.

    Returns
    -------
    (..., 3) L*, a*, b*.

    References
    ----------
    .. CIE 15:2004, Colorimetry, 3rd ed., section 8.2.1
    """
    ratio = np.asarray(xyz, float) / WHITE_D65
    linear = (841 / 108) * ratio + 4 / 29
    x, y, z = np.moveaxis(np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), linear), -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def lab_from_srgb(srgb: ArrayLike) -> Colours:
    """Return CIELAB under D65 of sRGB values (..., 3), 0 to 1."""
    return lab_from_xyz(xyz_from_srgb(srgb))

"""How well one colour is read upon another."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from render.colour.lab import xyz_from_srgb


def contrast_ratio(first: ArrayLike, second: ArrayLike) -> NDArray[np.float64]:
    """Return the contrast of two colours.

    Parameters
    ----------
    first, second
        (..., 3) sRGB, 0 to 1; they broadcast against each other.

    Returns
    -------
    (...) from 1 to 21; text wants 4.5, large text and lines 3.

    References
    ----------
    .. W3C, Web Content Accessibility Guidelines 2.2, "contrast ratio" and criteria 1.4.3, 1.4.11
    """
    lights = xyz_from_srgb(first)[..., 1], xyz_from_srgb(second)[..., 1]
    return np.asarray((np.maximum(*lights) + 0.05) / (np.minimum(*lights) + 0.05))

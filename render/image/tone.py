"""Between linear light and the numbers of a picture.

References
----------
.. IEC 61966-2-1:1999, "Multimedia systems and equipment - Colour measurement and management -
   Part 2-1: Default RGB colour space - sRGB"
"""

import numpy as np
from numpy.typing import NDArray

_STEPS = 65536


def to_linear(srgb: NDArray[np.floating]) -> NDArray[np.float64]:
    """Turn sRGB values, 0 to 1, into linear light."""
    v = np.asarray(srgb, np.float64)
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def to_srgb(linear: NDArray[np.floating]) -> NDArray[np.float64]:
    """Turn linear light, 0 to 1, into sRGB values."""
    v = np.asarray(linear, np.float64)
    return np.where(
        v <= 0.0031308, v * 12.92, 1.055 * np.maximum(v, 0.0031308) ** (1 / 2.4) - 0.055
    )


_TABLE = np.rint(to_srgb(np.arange(_STEPS) / (_STEPS - 1)) * 255).astype(np.uint8)


def develop(light: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Turn linear light into 8-bit sRGB; more than white is white."""
    scaled = light * np.float32(_STEPS - 1)
    scaled += np.float32(0.5)
    np.clip(scaled, 0, _STEPS - 1, out=scaled)
    return np.take(_TABLE, scaled.astype(np.uint16))

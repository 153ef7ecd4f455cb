"""From linear light to the numbers of a picture."""

import numpy as np
from numpy.typing import NDArray

from render.colour.srgb import srgb_from_linear

_STEPS = 65536
_TABLE = np.rint(srgb_from_linear(np.arange(_STEPS) / (_STEPS - 1)) * 255).astype(np.uint8)


def develop(light: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Turn linear light into 8-bit sRGB; more than white is white."""
    scaled = light * np.float32(_STEPS - 1)
    scaled += np.float32(0.5)
    np.clip(scaled, 0, _STEPS - 1, out=scaled)
    return np.take(_TABLE, scaled.astype(np.uint16))

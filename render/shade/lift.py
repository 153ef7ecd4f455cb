"""Shade on a card that lace floats above."""

from dataclasses import dataclass
from math import ceil, hypot, radians, tan

import numpy as np
from numpy.typing import NDArray

from render.shade.light import Light
from render.shade.pieces import Floats

_CUT_OFF = 2.5


@dataclass(frozen=True)
class Lift:
    """Where the shadow of floating lace falls, and how soft it is, in pixels.

    Attributes
    ----------
    step
        Rows and columns from a place on the card to what stands between it and the lamp.
    blur
        Standard deviation of the shadow's edges.
    dome
        The same of what the lace takes away of the sky.
    """

    step: tuple[int, int]
    blur: float
    dome: float

    @property
    def halo(self) -> int:
        """Pixels around a strip that matter to it."""
        edge = ceil(_CUT_OFF * max(self.blur, self.dome))
        return max(abs(self.step[0]), abs(self.step[1])) + edge + 2


def lift(height: float, light: Light) -> Lift:
    """Find the shadow of lace that floats `height` pixels above the card."""
    x, y, z = (float(v) for v in light.toward)
    low = max(light.elevation - light.spread, 5.0)
    spread = height / tan(radians(low)) - height * hypot(x, y) / z
    return Lift((round(y / z * height), round(x / z * height)), 0.6 * spread, 0.7 * height)


def shade_below(covered: NDArray[np.bool_], lifted: Lift, margin: int) -> tuple[Floats, Floats]:
    """Return how much of the lamp and of the sky the card sees past the lace, 0 to 1.

    Parameters
    ----------
    covered
        (rows, columns) whether there is thread above each pixel.
    lifted
        Where the shadow falls.
    margin
        Pixels left out on every side of the result; at least `lifted.halo`.
    """
    from scipy.ndimage import gaussian_filter  # slow to import

    lace = covered.astype(np.float32)
    down, right = lifted.step
    rows, columns = (n - 2 * margin for n in covered.shape)
    lamp = gaussian_filter(lace, lifted.blur, truncate=_CUT_OFF)
    sky = gaussian_filter(lace, lifted.dome, truncate=_CUT_OFF)
    above, beside = margin + down, margin + right
    return (
        1 - lamp[above : above + rows, beside : beside + columns],
        1 - sky[margin : margin + rows, margin : margin + columns],
    )

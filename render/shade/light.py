"""The light a piece of lace is looked at in: one lamp and a sky."""

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from render.errors import SettingError

Colour = tuple[float, float, float]


@dataclass(frozen=True)
class Light:
    """A lamp far away and an evenly bright sky.

    The usual strengths make an open, level, white card exactly white.

    Attributes
    ----------
    bearing
        Where the lamp stands, in degrees clockwise from the top of the picture: 315 is upper left.
    elevation
        Height of the lamp above the plane of the lace in degrees, more than 0, up to 90.
    spread
        Half the lamp's apparent height in degrees: how soft the edges of shadows are.
    lamp
        Linear red, green and blue of the lamp's light on a level card.
    sky
        The same of the sky's.
    """

    bearing: float = 318.0
    elevation: float = 50.0
    spread: float = 9.0
    lamp: Colour = (0.640, 0.615, 0.575)
    sky: Colour = (0.360, 0.385, 0.425)

    def __post_init__(self) -> None:
        if not 0 < self.elevation <= 90:
            raise SettingError(
                f"the light stands {self.elevation:g} degrees above the lace; "
                "it must be more than 0 and no more than 90"
            )
        if min(*self.lamp, *self.sky) < 0:
            raise SettingError("a light cannot be darker than black: use colours of 0 or more")

    @property
    def toward(self) -> NDArray[np.float32]:
        """(3,) unit vector to the lamp: right, down, towards the viewer."""
        flat = cos(radians(self.elevation))
        across, up = sin(radians(self.bearing)), cos(radians(self.bearing))
        return np.array([flat * across, -flat * up, sin(radians(self.elevation))], np.float32)

    def brighter(self, times: float) -> "Light":
        """Return the same light, `times` as strong."""
        r, g, b = self.lamp
        u, v, w = self.sky
        return Light(
            self.bearing,
            self.elevation,
            self.spread,
            (r * times, g * times, b * times),
            (u * times, v * times, w * times),
        )

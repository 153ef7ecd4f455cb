"""What the lace lies on."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.image.tone import to_linear
from render.shade.view import View

Colour = tuple[float, float, float]
Floats = NDArray[np.float32]


@dataclass(frozen=True)
class Flat:
    """One even colour (sRGB, 0 to 1)."""

    colour: Colour

    def rows(self, view: View, top: int, count: int) -> Floats:
        """Return the (count, width, 3) linear colours of some rows of a view."""
        linear = to_linear(np.array(self.colour)).astype(np.float32)
        return np.broadcast_to(linear, (count, view.width, 3)).copy()


@dataclass(frozen=True)
class Clear:
    """Nothing: the picture keeps its transparency.

    Attributes
    ----------
    shadow
        Darkness of the shadow that stays on whatever the picture is laid on, 0 (none) to 1.
    """

    shadow: float = 0.0


BUFF: Colour = (0.867, 0.761, 0.569)


@dataclass(frozen=True)
class Card:
    """Pricking card: even, with the faint grain of pressed paper."""

    colour: Colour = BUFF
    grain: float = 0.012

    def rows(self, view: View, top: int, count: int) -> Floats:
        """Return the (count, width, 3) linear colours of some rows of a view."""
        return Flat(self.colour).rows(view, top, count)


Background = Flat | Card | Clear

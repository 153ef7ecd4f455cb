"""What the threads of a piece look like."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.shade.material import Material
from render.shade.twist import TURNS


@dataclass(frozen=True, eq=False)
class Look:
    """Colour and material of every thread.

    Attributes
    ----------
    colour
        (T, 3) linear red, green and blue of each thread, 0 to 1.
    materials
        The materials in use, one or more.
    made_of
        (T,) index of each thread's material.
    """

    colour: NDArray[np.float32]
    materials: tuple[Material, ...]
    made_of: NDArray[np.int64]

    def table_mm(self, radius: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return how many millimetres of each thread its material's tables cover.

        Parameters
        ----------
        radius
            (T,) thread radii in mm.
        """
        lay = np.array([m.lay for m in self.materials])[self.made_of]
        return np.asarray(2 * radius * lay * TURNS)

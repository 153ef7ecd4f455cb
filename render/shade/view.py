"""Which part of the plane is looked at, and how finely."""

from dataclasses import dataclass


@dataclass(frozen=True)
class View:
    """A grid of square pixels laid over the lace.

    Pixel [row, column] is centred at ``left + (column + 0.5) / scale`` mm to the right and
    ``top + (row + 0.5) / scale`` mm down.

    Attributes
    ----------
    left, top
        Corner of the first pixel in mm.
    scale
        Pixels per millimetre.
    width, height
        Pixels.
    """

    left: float
    top: float
    scale: float
    width: int
    height: int

    def finer(self, times: int) -> "View":
        """Return the same part of the plane with every pixel cut into `times` x `times`."""
        return View(
            self.left, self.top, self.scale * times, self.width * times, self.height * times
        )

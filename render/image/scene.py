"""Everything that goes into a picture."""

from dataclasses import dataclass, field
from math import floor, sqrt

import numpy as np
from numpy.typing import NDArray

from render.errors import SettingError
from render.image.background import Background, Card
from render.image.pins import Pins
from render.shade.light import Light
from render.shade.material import MATERIALS, Material
from render.shade.view import View
from render.threads.model import ThreadPaths

MM_PER_INCH = 25.4
LARGEST_MEGAPIXELS = 200.0
HAIRS_FROM_DPI = 1000.0


@dataclass(frozen=True, eq=False)
class Scene:
    """Threads, what they are made of, what they lie on, and the window looked through.

    Attributes
    ----------
    paths
        The settled threads.
    colours
        (T, 3) sRGB of each thread, 0 to 1; (3,) or (1, 3) for one colour.
    window_mm
        Left, top, right and bottom of the picture in mm.
    dpi
        Pixels per inch.
    background
        What the lace lies on.
    materials
        What threads are made of: one, or several to choose from with `made_of`.
    made_of
        (T,) index of each thread's material; None if there is one material.
    light
        The light.
    card_holes
        (N, 2) pricked holes in mm, drawn where the background is a card.
    hole_mm
        Diameter of a pricked hole.
    pins
        The pins that still hold the lace; None once they are out.
    lift_mm
        How far the lace floats above its background.
    exposure
        Factor on all light.
    samples
        Each pixel is the mean of samples x samples; None for as many as thin threads need.
    hairs
        Whether loose fibre ends are drawn; None where they are large enough to be seen.
    largest_megapixels
        Pictures larger than this are refused.
    """

    paths: ThreadPaths
    colours: NDArray[np.float64]
    window_mm: tuple[float, float, float, float]
    dpi: float = 300.0
    background: Background = field(default_factory=Card)
    materials: tuple[Material, ...] = (MATERIALS["cotton"],)
    made_of: NDArray[np.int64] | None = None
    light: Light = field(default_factory=Light)
    card_holes: NDArray[np.float64] | None = None
    hole_mm: float = 0.45
    pins: Pins | None = None
    lift_mm: float = 0.0
    exposure: float = 1.0
    samples: int | None = None
    hairs: bool | None = None
    largest_megapixels: float = LARGEST_MEGAPIXELS

    def __post_init__(self) -> None:
        left, top, right, bottom = self.window_mm
        if not (right > left and bottom > top):
            raise SettingError(
                f"the window from {left:g}, {top:g} to {right:g}, {bottom:g} mm is empty: "
                "its right and bottom must lie beyond its left and top"
            )
        if not self.dpi > 0:
            raise SettingError(f"{self.dpi:g} dots per inch make no picture; try 300")
        threads = len(self.paths.radius)
        colours = np.broadcast_to(np.asarray(self.colours, np.float64), (threads, 3)).copy()
        if len(colours) and not (colours.min() >= 0 and colours.max() <= 1):
            raise SettingError("thread colours are given as parts of 1, from 0 to 1")
        colours.setflags(write=False)
        object.__setattr__(self, "colours", colours)
        if len(self.materials) > 1 and self.made_of is None:
            raise SettingError("with more than one material, say which thread is made of which")
        self._refuse_too_large()

    def _refuse_too_large(self) -> None:
        left, top, right, bottom = self.window_mm
        area = (right - left) * (bottom - top) / MM_PER_INCH**2
        megapixels = area * self.dpi**2 / 1e6
        if megapixels > self.largest_megapixels:
            fits = floor(sqrt(self.largest_megapixels * 1e6 / area))
            raise SettingError(
                f"{right - left:.0f} x {bottom - top:.0f} mm at {self.dpi:g} dpi are "
                f"{megapixels:.0f} megapixels, more than {self.largest_megapixels:g}; "
                f"{fits} dpi would fit, or ask for a larger picture explicitly"
            )

    @property
    def shows_hairs(self) -> bool:
        """Whether loose fibre ends are drawn."""
        return self.dpi >= HAIRS_FROM_DPI if self.hairs is None else self.hairs

    @property
    def view(self) -> View:
        """The grid of the picture's pixels."""
        left, top, right, bottom = self.window_mm
        scale = self.dpi / MM_PER_INCH
        return View(
            left,
            top,
            scale,
            max(1, round((right - left) * scale)),
            max(1, round((bottom - top) * scale)),
        )

"""What is seen in a picture of a pricking, step by step.

Positions in pixels are (x, y) with 0, 0 in the middle of the top left pixel; arrays of pixels
are indexed [row, column]. Millimetres count from the top left corner of the picture.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark

Pixels = NDArray[np.uint8]
Plane = NDArray[np.float32]
Points = NDArray[np.float64]
Polarity = Literal["dark", "light"]


@dataclass(frozen=True)
class Between:
    """Two points of the picture whose distance is known.

    Attributes
    ----------
    first, second
        (x, y) in pixels of the picture as a viewer shows it.
    length_mm
        How far apart they lie on the paper.
    """

    first: tuple[float, float]
    second: tuple[float, float]
    length_mm: float


@dataclass(frozen=True)
class Settings:
    """What a person can tell about a picture before it is read.

    Attributes
    ----------
    dpi, between, pitch_mm
        The scale, at most one of them; where none is given the file's own dpi counts.
        `pitch_mm` is the distance from a hole to the nearest one in the plain ground.
    paper_mm
        Width and height of the sheet in a photograph that shows all four of its corners.
    corners
        (x, y) of the four corners in pixels, in any order, where they are not to be found.
    turn_degrees
        How far to turn what is seen, clockwise; None to find it from the holes.
    polarity
        Whether holes are darker or lighter than the paper; None to find out.
    page
        Which page of a PDF or of a TIFF file is read, from 1.
    """

    dpi: float | None = None
    between: Between | None = None
    pitch_mm: float | None = None
    paper_mm: tuple[float, float] | None = None
    corners: tuple[tuple[float, float], ...] | None = None
    turn_degrees: float | None = None
    polarity: Polarity | None = None
    page: int | None = None


@dataclass(frozen=True, eq=False)
class Picture:
    """A picture, upright, as it came out of the file.

    Attributes
    ----------
    pixels
        (H, W, 3) sRGB.
    per_mm
        Pixels for a millimetre, along x and y alike; None where it is not known.
    dpi_doubt
        Why the file's own dpi cannot be trusted, None where it can.
    stretch
        How many pixels it has for one of the file's, along x and y; other than 1 where the file
        was scanned at unlike steps.
    """

    source: str
    pixels: Pixels
    per_mm: float | None
    dpi_doubt: str | None = None
    stretch: tuple[float, float] = (1.0, 1.0)
    remarks: tuple[Remark, ...] = ()

    def __post_init__(self) -> None:
        if self.pixels.ndim != 3 or self.pixels.shape[2] != 3 or self.pixels.dtype != np.uint8:
            raise ValueError(f"pixels must be (H, W, 3) of uint8, not {self.pixels.shape}")
        self.pixels.setflags(write=False)


@dataclass(frozen=True, eq=False)
class Dots:
    """Round marks of a picture.

    Attributes
    ----------
    centres
        (N, 2) in pixels.
    radius
        (N,) in pixels, to where the mark is half as dark as in its middle.
    contrast
        (N,) how much darker than its surroundings, 0..1.
    roundness
        (N,) the share of directions in which the mark ends where a circle would.
    support
        (N,) how often two other holes lie in line with the mark at equal steps.
    sure
        (N,) false for doubtful ones.
    """

    centres: Points
    radius: NDArray[np.float64]
    contrast: NDArray[np.float64]
    roundness: NDArray[np.float64]
    support: NDArray[np.int64]
    sure: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.centres)

    def __getitem__(self, chosen: NDArray[np.bool_] | NDArray[np.intp]) -> "Dots":
        return Dots(
            self.centres[chosen],
            self.radius[chosen],
            self.contrast[chosen],
            self.roundness[chosen],
            self.support[chosen],
            self.sure[chosen],
        )


@dataclass(frozen=True, eq=False)
class Pen:
    """One pen that the copy was coloured with.

    Attributes
    ----------
    number
        From 1, the largest area first.
    lab
        (3,) CIELAB of its colour on white paper.
    hex
        The same as ``#rrggbb``.
    area_mm2
        What it covers.
    areas, strokes
        How many shapes and how many long thin lines were drawn with it.
    width_mm
        Width of the lines, 0 where there are none.
    """

    number: int
    lab: NDArray[np.float64]
    hex: str
    area_mm2: float
    areas: int
    strokes: int
    width_mm: float = 0.0


@dataclass(frozen=True, eq=False)
class Area:
    """A coloured shape: contours in pixels, the outer one first, and the pen's number."""

    pen: int
    contours: tuple[Points, ...]


@dataclass(frozen=True, eq=False)
class Stroke:
    """A pen line: the pen's number, its middle and its width in pixels."""

    pen: int
    points: Points
    width: float


@dataclass(frozen=True, eq=False)
class Reading:
    """All that was understood of a picture.

    Attributes
    ----------
    picture
        As it was worked on: squared up, at the resolution of the pixel positions below.
    holes
        In reading order, rows from the top.
    pens, areas, strokes
        In the order of their numbers.
    per_mm
        Pixels for a millimetre.
    turn_degrees
        How far everything is turned clockwise about the middle of the picture.
    shift_mm
        By how much it is then moved, so that nothing lies outside the page.
    """

    picture: Picture
    holes: Dots
    pens: tuple[Pen, ...]
    areas: tuple[Area, ...]
    strokes: tuple[Stroke, ...]
    per_mm: float
    turn_degrees: float
    shift_mm: tuple[float, float] = (0.0, 0.0)
    remarks: tuple[Remark, ...] = ()

    def to_mm(self, points: Points) -> Points:
        """Turn (N, 2) pixel positions into millimetres on the straightened sheet."""
        height, width = self.picture.pixels.shape[:2]
        middle = np.array([width, height]) / 2
        angle = np.radians(self.turn_degrees)
        turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
        turned: Points = ((points + 0.5 - middle) @ turn + middle) / self.per_mm
        return turned + self.shift_mm
